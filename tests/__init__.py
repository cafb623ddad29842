"""Tests of the whole, layer by layer; `support` holds what they share."""

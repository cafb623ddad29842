"""Tests of the house, floor by floor; `support` holds what they share."""

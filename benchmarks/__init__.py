"""Measurements against the rule of thumb, against published instances, and of speed. Not part of the service."""

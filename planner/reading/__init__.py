"""A campaign read from plain data, with every problem of it: fields that cannot be read, and what contradicts what."""

from planner.reading.full_read import kept, problems_in, read

__all__ = ["kept", "problems_in", "read"]

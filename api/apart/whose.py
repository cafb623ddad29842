"""For which workshop this request works, so that none takes every place there is."""

from contextvars import ContextVar

whose: ContextVar[str] = ContextVar("whose", default="")
"""The workshop's id; "": nobody in particular."""

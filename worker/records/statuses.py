"""Where a plan or a study stands: open, until it ends for good."""

OPEN = ("queued", "running")
ENDINGS = frozenset({"done", "failed", "cancelled"})
"""Also the kinds of events after which nothing follows."""

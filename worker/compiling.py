"""Where a worker says that it compiles the planner, for whoever waits and wonders."""

from pathlib import Path

_FILE = "compiling"


def mark_in(folder: Path) -> Path:
    """The file that stands in the data folder meanwhile."""
    return folder / _FILE

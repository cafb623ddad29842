"""How long a thread waited for a free core: what a busy machine takes from a plan's time budget.

Linux counts it per thread (second number of /proc/PID/task/TID/schedstat, nanoseconds spent waiting on a run queue;
kernel documentation, scheduler statistics). Where nobody counts it, it is taken to be none.
"""

import threading
from pathlib import Path


class CoreWait:
    """Of one thread, from `begin` on, which that thread calls. Read from any thread."""

    def __init__(self) -> None:
        self._file: Path | None = None
        self._before = 0.0

    def begin(self) -> None:
        """Count for the thread that calls."""
        file = Path(f"/proc/self/task/{threading.get_native_id()}/schedstat")
        self._before = _waited(file)
        self._file = file

    def seconds(self) -> float:
        """Waited since `begin`; after the thread's end nothing is known any more."""
        return max(0.0, _waited(self._file) - self._before) if self._file is not None else 0.0


def waits() -> dict[int, float]:
    """Thread of this process -> seconds it has waited for a free core since it began; empty where nobody counts it."""
    tasks = Path("/proc/self/task")
    try:
        return {int(task.name): _waited(task / "schedstat") for task in tasks.iterdir()}
    except OSError:
        return {}


def _waited(file: Path) -> float:
    try:
        return int(file.read_text().split()[1]) / 1e9
    except (OSError, ValueError, IndexError):
        return 0.0

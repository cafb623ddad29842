"""Writers of one SQLite file take turns, over all threads and processes.

SQLite itself lets whoever waits ask again and again, at growing intervals: a process that writes without pause then
keeps every other one out for as long as it likes. Here whoever waits stands at the front, and nobody passes.
"""

import fcntl
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

PATIENCE = 20.0
"""Seconds a writer waits for its turn; a write takes milliseconds, so somebody is stuck then."""
MOST_WAITING = 60
"""Threads of one process that may wait: fewer than it has, so that some are left for those who only read."""


class TookTooLong(Exception):
    """Somebody else was writing for as long as this writer waits, or as many wait as may."""


class SqliteWriteLock:
    """Nobody else writes while one is held. path: of the database; its two lock files lie beside it."""

    def __init__(self, path: Path) -> None:
        self._paths = [path.with_name(f"{path.name}-{name}") for name in ("front", "turn")]
        self._mine = threading.Lock()
        self._room = threading.Semaphore(MOST_WAITING)
        self._files: list[IO[bytes]] = []

    @contextmanager
    def held(self, patience: float = PATIENCE) -> Iterator[None]:
        """A turn, waited for as long as that (seconds). Raises TookTooLong."""
        until = time.monotonic() + patience
        if not self._room.acquire(blocking=False):
            raise TookTooLong
        try:
            if not self._mine.acquire(timeout=patience):
                raise TookTooLong
            try:
                self._take(until)
                try:
                    yield
                finally:
                    fcntl.flock(self._files[1], fcntl.LOCK_UN)
            finally:
                self._mine.release()
        finally:
            self._room.release()

    def _take(self, until: float) -> None:
        if not self._files:
            self._files = [path.open("ab") for path in self._paths]
        front, turn = self._files
        _lock(front, until)
        try:
            _lock(turn, until)
        finally:
            fcntl.flock(front, fcntl.LOCK_UN)

    def close(self) -> None:
        """Let go of the files. A forked child that kept them would share its parent's turn, also after its death."""
        with self._mine:
            for file in self._files:
                file.close()
            self._files = []


def _lock(file: IO[bytes], until: float) -> None:
    """Asks again and again, since a lock cannot be waited for with a limit; whoever holds the front asks alone."""
    begun = time.monotonic()
    while True:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
            return
        except BlockingIOError:
            now = time.monotonic()
            if now >= until:
                raise TookTooLong from None
        # A sixth of the wait so far: between the end of a turn, which lasts milliseconds, and a look nobody writes, and
        # each look costs processor time that those who read a campaign beside it want.
        time.sleep(min(max(0.0004, (now - begun) / 6), 0.004))

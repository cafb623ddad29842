"""Writers of one SQLite file take turns, over all threads and processes.

SQLite itself lets whoever waits ask again and again, at growing intervals: a process that writes without pause then
keeps every other one out for as long as it likes. Here whoever waits stands at the front, and nobody passes.
"""

import fcntl
import threading
from pathlib import Path
from typing import IO


class Turns:
    """Use as a context: inside, nobody else writes. path: of the database; its two lock files lie beside it."""

    def __init__(self, path: Path) -> None:
        self._paths = [path.with_name(f"{path.name}-{name}") for name in ("front", "turn")]
        self._mine = threading.Lock()
        self._files: list[IO[bytes]] = []

    def __enter__(self) -> None:
        self._mine.acquire()
        try:
            if not self._files:
                self._files = [path.open("ab") for path in self._paths]
            front, turn = self._files
            fcntl.flock(front, fcntl.LOCK_EX)
            try:
                fcntl.flock(turn, fcntl.LOCK_EX)
            finally:
                fcntl.flock(front, fcntl.LOCK_UN)
        except BaseException:
            self._mine.release()
            raise

    def __exit__(self, *_: object) -> None:
        fcntl.flock(self._files[1], fcntl.LOCK_UN)
        self._mine.release()

    def close(self) -> None:
        """Let go of the files. A forked child that kept them would share its parent's turn, also after its death."""
        with self._mine:
            for file in self._files:
                file.close()
            self._files = []

"""The clock by which leases run out: one for all who use the records, and never moved by hand.

A wall clock that is put forward by an hour would make every living worker look dead, one put back would keep a dead
one's lease for an hour. PostgreSQL's own clock serves all its clients. SQLite's are processes of one machine: they
count the machine's monotonic seconds on from a moment of the wall clock that is kept beside the file, per start of the
machine.
"""

import fcntl
import json
import threading
import time
from dataclasses import asdict, dataclass
from pathlib import Path

from sqlalchemy import Connection, text

_BOOT = Path("/proc/sys/kernel/random/boot_id")
_SERVER = text("SELECT extract(epoch FROM clock_timestamp())")
_LATEST = text(
    "SELECT max(at) FROM (SELECT max(lease_until) AS at FROM plans UNION ALL SELECT max(lease_until) FROM study_parts"
    " UNION ALL SELECT max(sent_at) FROM plans UNION ALL SELECT max(sent_at) FROM study_parts"
    " UNION ALL SELECT max(busy_until) FROM webhooks)"
)


@dataclass(frozen=True)
class Anchor:
    """Lease time is monotonic seconds plus `offset`, since the machine's start `boot`. set_at: monotonic seconds."""

    boot: str
    set_at: float
    offset: float

    def holds(self, boot: str, monotonic: float) -> bool:
        """Whether this is still the same start of the machine."""
        return self.boot == boot and monotonic >= self.set_at


class LeaseClock:
    """Lease time in seconds, roughly since 1970. path: of the anchor's file; None: the database server's clock."""

    def __init__(self, path: Path | None) -> None:
        self._path = path
        self._anchor: Anchor | None = None
        self._anchoring = threading.Lock()

    def now(self, connection: Connection) -> float:
        """The time by which leases given through this connection run out."""
        if self._path is None:
            return float(connection.execute(_SERVER).scalar_one())
        with self._anchoring:
            if self._anchor is None:
                self._anchor = _kept_or_new(self._path, connection)
        return time.monotonic() + self._anchor.offset


def _kept_or_new(path: Path, connection: Connection) -> Anchor:
    boot = _BOOT.read_text().strip() if _BOOT.exists() else ""
    with path.open("a+") as file:
        fcntl.flock(file, fcntl.LOCK_EX)
        file.seek(0)
        kept = _read(file.read())
        if kept is not None and kept.holds(boot, time.monotonic()):
            return kept
        # Nobody of an earlier start lives: whatever the wall clock says now, their leases are over.
        latest = connection.execute(_LATEST).scalar_one() or 0.0
        now = time.monotonic()
        made = Anchor(boot, now, max(time.time(), latest + 1.0) - now)
        file.seek(0)
        file.truncate()
        file.write(json.dumps(asdict(made)))
        return made


def _read(written: str) -> Anchor | None:
    try:
        return Anchor(**json.loads(written))
    except (ValueError, TypeError):
        return None  # empty, or half written when the machine went down

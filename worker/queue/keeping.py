"""Once an hour what has had its time or takes too much room goes from the records, and what is left is counted."""

import logging
import threading
import time
from collections.abc import Callable

from sqlalchemy import Connection
from sqlalchemy.exc import DBAPIError

from worker.records import kept, retention
from worker.records.database import Database
from worker.records.retention import Ages, Removed
from worker.settings import Settings

log = logging.getLogger(__name__)
EVERY = 3600.0


def keep(database: Database, ages: Ages, now: float) -> Removed:
    """Remove what has had its time, then what takes too much room; write down how much there is. Gives what went."""
    removed = _all_of(database, lambda connection: retention.remove_old(connection, now, ages))
    with database.read() as connection:
        known = kept.written_down(connection)
        if known and not removed.said and now - min(row.measured_at for row in known) < EVERY / 2:
            return removed  # another worker counted just now
        bytes_of = {kind: size.bytes for kind, size in kept.measured(connection).items()}
    removed += _all_of(database, lambda connection: retention.remove_too_much(connection, bytes_of, ages))
    with database.read() as connection:
        sizes = kept.measured(connection)
    with database.write() as connection:
        kept.write_down(connection, sizes, removed.by_kind(), now)
    return removed


def _all_of(database: Database, remove: Callable[[Connection], Removed]) -> Removed:
    """Removes piece by piece, each in a transaction of its own, until nothing more goes. Gives what went."""
    removed = Removed()
    while True:
        with database.write() as connection:
            went = remove(connection)
        removed += went
        if not went.said:
            return removed


class Keeper:
    """A thread that sees to it until it is stopped."""

    def __init__(self, database: Database, settings: Settings) -> None:
        self._database, self._ages = database, Ages.said_by(settings)
        self._ended = threading.Event()
        self._thread = threading.Thread(target=self._run, name="keeper", daemon=True)

    def start(self) -> None:
        self._thread.start()

    def stop(self) -> None:
        self._ended.set()
        self._thread.join(timeout=2)

    def _run(self) -> None:
        while not self._ended.is_set():
            try:
                removed = keep(self._database, self._ages, time.time())
                if removed.said:
                    log.info("removed what has had its time or its room: %s", removed.said)
            except DBAPIError as error:
                log.warning("cannot reach the records: %s", error.orig)
            self._ended.wait(EVERY)

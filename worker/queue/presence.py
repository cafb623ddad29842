"""A worker says every few seconds that it is there: a process id tells nothing about being able to work."""

import logging
import threading

from sqlalchemy.exc import DBAPIError

from worker.records import health
from worker.records.database import Database

log = logging.getLogger(__name__)


class Presence:
    """A thread that says so until it is stopped."""

    def __init__(self, database: Database, worker: str, queues: str) -> None:
        self._database, self._worker, self._queues = database, worker, queues
        self._ended = threading.Event()
        self._thread = threading.Thread(target=self._run, name="presence", daemon=True)

    def start(self) -> None:
        self._thread.start()

    def stop(self) -> None:
        """Say goodbye, so that nobody counts on this worker any more."""
        self._ended.set()
        self._thread.join(timeout=5)
        try:
            with self._database.write() as connection:
                health.say_gone(connection, self._worker)
        except DBAPIError as error:
            log.warning("cannot say goodbye: %s", error.orig)

    def _run(self) -> None:
        while not self._ended.is_set():
            try:
                with self._database.write() as connection:
                    health.say_here(connection, self._worker, self._queues, self._database.lease_clock.now(connection))
            except DBAPIError as error:
                log.warning("cannot reach the records: %s", error.orig)
            self._ended.wait(health.SILENT / 5)

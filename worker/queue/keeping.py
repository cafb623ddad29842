"""Once an hour what has had its time is removed from the records, and the log says how much."""

import logging
import threading
import time

from sqlalchemy.exc import DBAPIError

from worker.records.database import Database
from worker.records.retention import remove_old

log = logging.getLogger(__name__)
EVERY = 3600.0


class Keeper:
    """A thread that sees to it until it is stopped."""

    def __init__(self, database: Database) -> None:
        self._database = database
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
                while not self._ended.is_set():
                    with self._database.write() as connection:
                        removed = remove_old(connection, time.time())
                    if not removed.said:
                        break
                    log.info("removed what has had its time: %s", removed.said)
            except DBAPIError as error:
                log.warning("cannot reach the records: %s", error.orig)
            self._ended.wait(EVERY)

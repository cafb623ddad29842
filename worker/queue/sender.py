"""Tells the queue about plans and parts of studies that wait: at once after a commit, and again when one got lost."""

import logging
import threading
import time
from collections.abc import Callable

from celery import Celery
from sqlalchemy import Connection

from worker.queue.broker import PART_TASK, TASK, Message, depths, put
from worker.records import outbox
from worker.records.database import Database
from worker.records.tables import Plan
from worker.settings import Settings

log = logging.getLogger(__name__)
BATCH = 50
"""Marked as sent in one transaction: one a message would make submissions wait for twice as many."""
GATHER = 0.02
"""Seconds that a nudge waits for others, so that many submissions are marked and sent together."""


def send_due(
    database: Database,
    queue: Celery,
    settings: Settings,
    clock: Callable[[Connection], float] | None = None,
    again: bool = True,
) -> int:
    """Send all that is due; gives how much. A queue that is away leaves it due.

    clock: None, that of leases. again: also what was sent before and got lost.
    """
    clock = clock or database.lease_clock.now
    with database.read() as connection:
        now = clock(connection)
        items = outbox.fresh(connection, now)
        if again and outbox.sent_long_ago(connection, now, settings.resend_after):
            # Only now ask the server: with nothing to send again, it needs not be asked what it still holds.
            empty = frozenset(name for name, depth in depths(queue).items() if depth == 0)
            items += outbox.lost(connection, now, settings.resend_after, empty)
    sent = 0
    for batch in (items[n : n + BATCH] for n in range(0, len(items), BATCH)):
        with database.write() as connection:
            taken = outbox.take(connection, batch, clock(connection), settings.resend_after)
        try:
            put(queue, [Message(TASK if item.table is Plan else PART_TASK, item.id, item.queue) for item in taken])
        except Exception:
            with database.write() as connection:
                for left in taken:
                    outbox.give_back(connection, left)
            raise
        sent += len(taken)
    return sent


class Sender:
    """A thread that keeps sending: nudged after each commit, and of its own accord every second."""

    def __init__(self, database: Database, queue: Celery, settings: Settings) -> None:
        self._database, self._queue, self._settings = database, queue, settings
        self._nudged, self._ended = threading.Event(), threading.Event()
        self._thread = threading.Thread(target=self._run, name="sender", daemon=True)

    def start(self) -> None:
        self._thread.start()

    def nudge(self) -> None:
        """There is something new to send. Never waits."""
        self._nudged.set()

    def stop(self) -> None:
        self._ended.set()
        self._nudged.set()
        self._thread.join(timeout=5)

    def _run(self) -> None:
        away, look_again_at = False, 0.0
        while not self._ended.is_set():
            self._nudged.clear()
            again = time.monotonic() >= look_again_at
            try:
                if again:
                    look_again_at = time.monotonic() + 1.0
                send_due(self._database, self._queue, self._settings, again=again)
                if away:
                    log.info("the queue is back")
                away = False
            except Exception as error:
                # Redis or the database is away. Nothing is lost: what is due stays due.
                if not away:
                    log.warning("plans wait, the queue cannot be reached: %s", type(error).__name__)
                away = True
            if self._nudged.wait(max(0.0, look_again_at - time.monotonic())):
                self._ended.wait(GATHER)

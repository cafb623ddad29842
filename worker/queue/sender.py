"""Tells the queue about plans and parts of studies that wait: at once after a commit, and again when one got lost."""

import logging
import threading
import time
from collections import deque
from collections.abc import Callable, Sequence

from celery import Celery
from sqlalchemy import Connection

from worker.queue.broker import PART_TASK, TASK, Message, depths, put
from worker.records import outbox
from worker.records.database import Database
from worker.records.outbox import Due
from worker.records.tables import Plan
from worker.settings import Settings

log = logging.getLogger(__name__)
BATCH = 50
"""Marked as sent in one transaction: one a message would make submissions wait for twice as many."""
LATELY = 30.0
"""Seconds before a sender's start: what was marked as sent in them goes again, a second message does nothing."""
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
            _put(queue, taken)
        except Exception:
            _give_back(database, taken)
            raise
        sent += len(taken)
    return sent


class Sender:
    """A thread that keeps sending: what it is handed and what it is nudged about after each commit, and of its own
    accord every second what else is due."""

    def __init__(self, database: Database, queue: Celery, settings: Settings) -> None:
        self._database, self._queue, self._settings = database, queue, settings
        self._nudged, self._look, self._ended = threading.Event(), threading.Event(), threading.Event()
        self._handed: deque[Due] = deque()
        self._there = False
        self._thread = threading.Thread(target=self._run, name="sender", daemon=True)

    def start(self) -> None:
        self._thread.start()

    @property
    def takes(self) -> bool:
        """Whether it runs, and the queue was there when it last had something for it: what is marked as sent and
        handed over then needs not be looked for."""
        return self._there and not self._ended.is_set()

    def send(self, item: Due) -> None:
        """Take what was committed as sent, and send it. Never waits."""
        self._handed.append(item)
        self._nudged.set()

    def nudge(self) -> None:
        """There is something new to send. Never waits."""
        self._look.set()
        self._nudged.set()

    def stop(self) -> None:
        """What was handed over goes out first."""
        self._ended.set()
        self._nudged.set()
        self._thread.join(timeout=5)

    def _run(self) -> None:
        lately, said_away, look_again_at = False, False, 0.0
        while True:
            self._nudged.clear()
            ended, again = self._ended.is_set(), time.monotonic() >= look_again_at
            look = self._look.is_set()
            self._look.clear()
            try:
                if not lately:
                    # Whoever was here before may have been killed with something in its hands.
                    self._handed.extend(sent_lately(self._database))
                    lately = True
                self._send_handed()
                if ended:
                    return
                if again:
                    look_again_at = time.monotonic() + 1.0
                if again or look:
                    send_due(self._database, self._queue, self._settings, again=again)
                self._there = True
                if said_away:
                    log.info("the queue is back")
                said_away = False
            except Exception as error:
                # Redis or the database is away. Nothing is lost: what is due stays due.
                self._there = False
                if ended:
                    return
                if not said_away:
                    log.warning("plans wait, the queue cannot be reached: %s", type(error).__name__)
                said_away = True
                look_again_at = time.monotonic() + 1.0
            if self._nudged.wait(max(0.0, look_again_at - time.monotonic())):
                self._ended.wait(GATHER)

    def _send_handed(self) -> None:
        """What the queue does not take is due for any sender."""
        while batch := [self._handed[n] for n in range(min(BATCH, len(self._handed)))]:
            try:
                _put(self._queue, batch)
            except Exception:
                _give_back(self._database, batch)
                self._drop(batch)
                raise
            self._drop(batch)

    def _drop(self, batch: list[Due]) -> None:
        for _ in batch:
            self._handed.popleft()


def sent_lately(database: Database) -> list[Due]:
    """What is marked as sent but may not have been, since whoever marked it was ended before it sent it."""
    with database.read() as connection:
        return outbox.sent_since(connection, database.lease_clock.now(connection) - LATELY)


def _put(queue: Celery, items: Sequence[Due]) -> None:
    put(queue, [Message(TASK if item.table is Plan else PART_TASK, item.id, item.queue) for item in items])


def _give_back(database: Database, items: Sequence[Due]) -> None:
    with database.write() as connection:
        for item in items:
            outbox.give_back(connection, item)

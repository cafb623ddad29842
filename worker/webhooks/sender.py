"""Carries webhook messages out of the records: several at a time, each for a few seconds at most, fairly by workshop.

A receiver that does not answer rests for longer and longer, with everything that waits for it; whoever else is told
something does not wait for it. After three days a message is given up.
"""

import http.client
import json
import logging
import threading
import time
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime

from sqlalchemy import Connection
from sqlalchemy.exc import DBAPIError

from worker.records import webhook_outbox
from worker.records.database import Database
from worker.records.webhook_outbox import WebhookMessage
from worker.settings import Settings
from worker.webhooks import secrets, signing
from worker.webhooks.addresses import Forbidden, look_up
from worker.webhooks.sending import post

log = logging.getLogger(__name__)
PAUSES = (5.0, 30.0, 120.0, 600.0, 3600.0, 6 * 3600.0, 24 * 3600.0, 48 * 3600.0)
"""Seconds between one try of a message and the next."""
RESTS = PAUSES[:6]
"""Seconds a receiver rests after its first, second ... failure in a row; after more as long as the last."""
GIVEN_UP = sum(PAUSES) + 3600.0
"""Seconds after which a message that nobody took is given up, tried or not."""
AT_A_TIME = 8
"""Messages on their way at once, of each process that carries them."""
OF_A_WORKSHOP = 3
"""Of those, as many may be one workshop's."""
TAKEN_FOR = 120.0
"""Seconds for which a message and its receiver are ours: longer than a try can last. If we die, the message is due
again after them, and others may send there."""


class WebhookSender:
    """A thread that looks for what is due, and a few that carry it."""

    def __init__(self, database: Database, settings: Settings) -> None:
        self._database, self._settings = database, settings
        self._ended = threading.Event()
        self._freed = threading.Event()
        self._fair = FairShare()
        self._carriers = ThreadPoolExecutor(AT_A_TIME, thread_name_prefix="webhook")
        self._thread = threading.Thread(target=self._run, name="webhooks", daemon=True)

    def start(self) -> None:
        self._thread.start()

    def stop(self) -> None:
        """Nothing more is taken; what is on its way is left to its deadline, and is due again if it did not arrive."""
        self._ended.set()
        self._freed.set()
        self._thread.join(timeout=2)
        self._carriers.shutdown(wait=False, cancel_futures=True)

    def _run(self) -> None:
        sealed = False
        while not self._ended.is_set():
            self._freed.clear()
            try:
                if not sealed:
                    self._seal()
                    sealed = True
                while not self._ended.is_set() and self._begin_one():
                    pass
            except DBAPIError as error:
                log.warning("cannot reach the records: %s", error.orig)
            except RuntimeError:
                return  # the interpreter ends
            self._freed.wait(1.0)

    def _seal(self) -> None:
        try:
            if many := secrets.seal(self._database, secrets.key_of(self._settings)):
                log.info("webhooks' signing secrets that stood readable in the records, now sealed: %d", many)
        except (OSError, ValueError) as error:
            log.warning("webhooks' signing secrets of older versions cannot be sealed: %s", error)

    def _begin_one(self) -> bool:
        with self._database.read() as connection:
            now = self._database.lease_clock.now(connection)
        message = take_one(self._database, self._fair, now)
        if message is not None:
            self._carriers.submit(self._carry, message)
        return message is not None

    def _carry(self, message: WebhookMessage) -> None:
        try:
            carry(self._database, self._settings, message, time.time(), self._database.lease_clock.now)
        except DBAPIError as error:
            log.warning("a webhook's outcome is not written down: %s", error.orig)
        finally:
            self._fair.over(message)
            self._freed.set()


class FairShare:
    """Whose message goes next of this process: few of one workshop, whoever waited longest first.

    Never two to one receiver; that no other process sends there meanwhile is seen to by the records.
    """

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._receivers: set[str] = set()
        self._of: Counter[str] = Counter()
        self._turn = 0
        self._served: dict[str, int] = {}

    def next(self, due: list[webhook_outbox.DueWebhook]) -> str | None:
        """The webhook of those with messages due that goes next, begun with this; None if none may just now."""
        with self._lock:
            apart = [one for one in due if one.webhook_id not in self._receivers]
            may = [one for one in apart if self._of[one.workshop_id] < OF_A_WORKSHOP]
            if not may or len(self._receivers) >= AT_A_TIME:
                return None
            one = min(may, key=lambda one: (self._of[one.workshop_id], self._served.get(one.workshop_id, 0), one.since))
            self._turn += 1
            self._served[one.workshop_id] = self._turn
            self._receivers.add(one.webhook_id)
            self._of[one.workshop_id] += 1
            return one.webhook_id

    def over(self, message: WebhookMessage) -> None:
        """The message arrived, or did not."""
        self.gone(message.webhook_id, message.workshop_id)

    def gone(self, webhook_id: str, workshop_id: str) -> None:
        with self._lock:
            self._receivers.discard(webhook_id)
            self._of[workshop_id] -= 1


def take_one(database: Database, fair: FairShare, now: float) -> WebhookMessage | None:
    """The message that goes next, taken from the records; None if none is due, or none may go just now.

    now: by the lease clock.
    """
    with database.read() as connection:
        due = webhook_outbox.due(connection, now)
    while (chosen := fair.next(due)) is not None:
        message = None
        try:
            message = _take_from(database, chosen, now)
        finally:
            if message is None:
                fair.gone(chosen, next(one.workshop_id for one in due if one.webhook_id == chosen))
        if message is not None:
            return message
        due = [one for one in due if one.webhook_id != chosen]  # another process was quicker there
    return None


def _take_from(database: Database, webhook_id: str, now: float) -> WebhookMessage | None:
    with database.write() as connection:
        if not webhook_outbox.hold(connection, webhook_id, now):
            return None
        webhook_outbox.give_up(connection, webhook_id, before=now - GIVEN_UP)
        return webhook_outbox.take(connection, webhook_id, now, TAKEN_FOR)


def carry(
    database: Database, settings: Settings, message: WebhookMessage, now: float, clock: Callable[[Connection], float]
) -> None:
    """Try one message, and write down what came of it. now: by the wall clock. clock: that of leases."""
    outcome, end = _try(message, settings, now)
    pause = PAUSES[message.tries - 1] if message.tries <= len(PAUSES) else None
    arrived = end is not None
    said = outcome if arrived or pause is not None else f"given up: {outcome}"
    with database.write() as connection:
        over = clock(connection)
        again = None if arrived or pause is None else over + pause
        rests = None if arrived else over + RESTS[min(message.failures, len(RESTS) - 1)]
        webhook_outbox.tell_receiver(connection, message, said, now, rests)
        webhook_outbox.tell(connection, message.id, said, again)
    log.info("webhook %s", said)


def carry_one(database: Database, settings: Settings, now: float) -> bool:
    """Take the message that goes next and try it, here and now, by both clocks; False if none is due."""
    message = take_one(database, FairShare(), now)
    if message is None:
        return False
    carry(database, settings, message, now, lambda connection: now)
    return True


def _try(message: WebhookMessage, settings: Settings, now: float) -> tuple[str, int | None]:
    """What came of it, and the status that ends it; None: it is to be tried again."""
    body = json.dumps({**json.loads(message.body), "time": datetime.fromtimestamp(now, UTC).isoformat()})
    try:
        secret = secrets.secret_of(secrets.key_of(settings), message.webhook_id, message.secret)
        target = look_up(message.url, settings.allow_private_webhooks)
        status = post(target, signing.headers(secret, message.id, int(now), body), body)
    except secrets.OtherKey:
        return "not sent: the key that signs is another one now; add the webhook again", None
    except Forbidden as error:
        return f"refused: {error}", None
    except TimeoutError:
        return "nobody answered in time", None
    except (OSError, http.client.HTTPException, ValueError) as error:
        return f"nobody answered: {type(error).__name__}", None
    if status == 410:
        return "gone: not wanted any more", status
    return f"answered {status}", status if 200 <= status < 300 else None

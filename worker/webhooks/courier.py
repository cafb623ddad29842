"""The thread that carries deliveries out of the records, trying again for three days before it gives up."""

import http.client
import json
import logging
import threading
import time
from datetime import UTC, datetime

from sqlalchemy.exc import DBAPIError

from worker.records import deliveries
from worker.records.database import Database
from worker.records.deliveries import Parcel
from worker.settings import Settings
from worker.webhooks import signing
from worker.webhooks.addresses import Forbidden, look_up
from worker.webhooks.sending import post

log = logging.getLogger(__name__)
PAUSES = (5.0, 30.0, 120.0, 600.0, 3600.0, 6 * 3600.0, 24 * 3600.0, 48 * 3600.0)
"""Seconds between one try and the next."""


class Courier:
    """Carries what is due, one after the other."""

    def __init__(self, database: Database, settings: Settings) -> None:
        self._database, self._settings = database, settings
        self._ended = threading.Event()
        self._thread = threading.Thread(target=self._run, name="courier", daemon=True)

    def start(self) -> None:
        self._thread.start()

    def stop(self) -> None:
        self._ended.set()
        self._thread.join(timeout=2)

    def _run(self) -> None:
        while not self._ended.wait(1.0):
            try:
                while not self._ended.is_set() and carry_one(self._database, self._settings, time.time()):
                    pass
            except DBAPIError as error:
                log.warning("cannot reach the records: %s", error.orig)


def carry_one(database: Database, settings: Settings, now: float) -> bool:
    """Try the delivery that is due longest; False if none is."""
    with database.write() as connection:
        # Taken for as long as a try can last: another courier leaves it alone, and if we die it is due again.
        parcel = deliveries.take_due(connection, now, until=now + 60)
    if parcel is None:
        return False
    outcome, done = _try(parcel, settings, now)
    pause = PAUSES[parcel.tries - 1] if parcel.tries <= len(PAUSES) else None
    with database.write() as connection:
        if done or pause is None:
            deliveries.close(connection, parcel.id, outcome if done else f"given up: {outcome}")
        else:
            deliveries.try_again(connection, parcel.id, outcome, now + pause)
    log.info("webhook %s", outcome)
    return True


def _try(parcel: Parcel, settings: Settings, now: float) -> tuple[str, bool]:
    """What came of it, and whether that is the end of it."""
    body = json.dumps({**json.loads(parcel.body), "time": datetime.fromtimestamp(now, UTC).isoformat()})
    try:
        target = look_up(parcel.url, settings.allow_private_webhooks)
        status = post(target, signing.headers(parcel.secret, parcel.id, int(now), body), body)
    except Forbidden as error:
        return f"refused: {error}", False
    except (OSError, http.client.HTTPException) as error:
        return f"nobody answered: {type(error).__name__}", False
    if status == 410:
        return "gone: not wanted any more", True
    return f"answered {status}", 200 <= status < 300

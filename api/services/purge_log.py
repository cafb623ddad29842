"""The workshop's purge log: real colour changes written down, read, put right. Its effect on plans: `workshop_log`."""

import time
from collections.abc import Callable
from typing import Any

from sqlalchemy import Connection

from api.service import Service
from api.service.refusals import Invalid, NotFound, TooMany
from api.services.once import Answer, Once
from api.services.stored_log import kept_as
from planner.campaign.purging import PurgeLogged
from planner.errors import Problem
from worker.records import purge_log
from worker.records.purge_log import EntryRow
from worker.records.submitting import TooManyBytes


def add(service: Service, once: Once[EntryRow], entry: PurgeLogged) -> Answer:
    """Write a colour change down. Raises Invalid where it says nothing, and TooMany where the log is full."""
    said = sound(entry)

    def act(connection: Connection, now: float) -> EntryRow:
        return _added(connection, once.workshop_id, said, now)

    return once.carried_out(service, act)


def add_entry(service: Service, workshop_id: str, entry: PurgeLogged) -> EntryRow:
    """As `add`, for whoever sends nothing twice."""
    said = sound(entry)
    with service.database.write() as connection:
        return _added(connection, workshop_id, said, time.time())


def _added(connection: Connection, workshop_id: str, entry: PurgeLogged, now: float) -> EntryRow:
    try:
        return purge_log.add(connection, workshop_id, _text(entry), now)
    except TooManyBytes as error:
        raise TooMany(f"{error}; no more are taken.") from None


def page(service: Service, workshop_id: str, limit: int, before: tuple[float, str] | None) -> list[EntryRow]:
    """Newest first. before: the (created_at, id) of the last entry already seen."""
    with service.database.read() as connection:
        return purge_log.page(connection, workshop_id, limit, before)


def entry(service: Service, workshop_id: str, entry_id: str) -> EntryRow:
    """Raises NotFound."""
    with service.database.read() as connection:
        return _found(connection, workshop_id, entry_id)


def correct(
    service: Service, workshop_id: str, entry_id: str, changes: dict[str, Any], seen: Callable[[EntryRow], None]
) -> EntryRow:
    """Put an entry right; fields that are not named stay. seen: raises where the caller saw another state of it.

    Raises NotFound, and Invalid where it would say nothing.
    """
    with service.database.write() as connection:
        row = _found(connection, workshop_id, entry_id)
        seen(row)
        corrected = sound(kept_as(row).entry.model_copy(update=changes))
        purge_log.rewrite(connection, workshop_id, entry_id, _text(corrected))
        return _found(connection, workshop_id, entry_id)


def _found(connection: Connection, workshop_id: str, entry_id: str) -> EntryRow:
    row = purge_log.find(connection, workshop_id, entry_id)
    if row is None:
        raise NotFound("This workshop has no such log entry.")
    return row


def sound(entry: PurgeLogged) -> PurgeLogged:
    """The entry, if it says what was purged; raises Invalid."""
    if entry.from_ == entry.to:
        raise Invalid("Nothing changed.", [Problem("/to", f"{entry.to} is purged by itself", "correct one of them")])
    if entry.kg is None and (entry.shots is None or (entry.tool is None and entry.shot_g is None)):
        remedy = "give `kg`, or `shots` with `shot_g` or with the `tool` they were made with"
        raise Invalid("The entry is no figure.", [Problem("", "it doesn't say how much was purged", remedy)])
    return entry


def _text(entry: PurgeLogged) -> str:
    return entry.model_dump_json(by_alias=True, exclude_none=True)

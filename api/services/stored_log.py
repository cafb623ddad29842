"""The workshop's purge log as documents again."""

from dataclasses import dataclass

from api.service import Service
from planner.campaign.purging import PurgeLogged
from worker.records import purge_log
from worker.records.purge_log import EntryRow

NEWEST = 1000
"""Entries that a question counts; older ones stay in the log."""


@dataclass(frozen=True)
class Kept:
    """An entry with the id and the moment of its writing."""

    row: EntryRow
    entry: PurgeLogged


def kept_as(row: EntryRow) -> Kept:
    """The row with its document read."""
    return Kept(row, PurgeLogged.model_validate_json(row.entry))


def logged_in(service: Service, workshop_id: str, press: str | None = None, barrel: int | None = None) -> list[Kept]:
    """The newest entries, oldest first; of one press's barrel where those are given."""
    with service.database.read() as connection:
        rows = purge_log.page(connection, workshop_id, purge_log.MOST_ENTRIES)
    found = [kept_as(row) for row in rows]
    mine = [kept for kept in found if press is None or (kept.entry.press, kept.entry.barrel) == (press, barrel)]
    return list(reversed(mine[:NEWEST]))

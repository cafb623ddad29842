"""A workshop's purge log: real colour changes as the maker wrote them down; kept, never thrown away."""

from dataclasses import dataclass

from sqlalchemy import Connection, func, insert, select, tuple_, update

from worker.records.ids import new_id
from worker.records.submitting import TooManyBytes
from worker.records.tables import PurgeEntry

MOST_ENTRIES = 10_000
"""Entries of one workshop; a barrel's factor has long settled by then."""


@dataclass(frozen=True)
class EntryRow:
    """One entry: its document as JSON text and when it was written down (seconds since 1970, UTC)."""

    id: str
    entry: str
    created_at: float


def add(connection: Connection, workshop_id: str, entry: str, now: float) -> EntryRow:
    """Write one entry down. Raises TooManyBytes when the log is full."""
    kept = connection.execute(select(func.count()).where(PurgeEntry.workshop_id == workshop_id)).scalar_one()
    if kept >= MOST_ENTRIES:
        raise TooManyBytes(f"the purge log holds {kept} entries")
    row = EntryRow(new_id(), entry, now)
    connection.execute(
        insert(PurgeEntry).values(id=row.id, workshop_id=workshop_id, entry=row.entry, created_at=row.created_at)
    )
    return row


def page(
    connection: Connection, workshop_id: str, limit: int, before: tuple[float, str] | None = None
) -> list[EntryRow]:
    """Newest first. before: the (created_at, id) of the last entry already seen."""
    query = select(PurgeEntry.id, PurgeEntry.entry, PurgeEntry.created_at).where(PurgeEntry.workshop_id == workshop_id)
    if before is not None:
        query = query.where(tuple_(PurgeEntry.created_at, PurgeEntry.id) < tuple_(*before))
    query = query.order_by(PurgeEntry.created_at.desc(), PurgeEntry.id.desc()).limit(limit)
    return [EntryRow(*row) for row in connection.execute(query)]


def find(connection: Connection, workshop_id: str, entry_id: str) -> EntryRow | None:
    """The workshop's entry of that id."""
    row = connection.execute(
        select(PurgeEntry.id, PurgeEntry.entry, PurgeEntry.created_at).where(
            PurgeEntry.workshop_id == workshop_id, PurgeEntry.id == entry_id
        )
    ).one_or_none()
    return None if row is None else EntryRow(*row)


def rewrite(connection: Connection, workshop_id: str, entry_id: str, entry: str) -> None:
    """Put a corrected document in an entry's place."""
    connection.execute(
        update(PurgeEntry).where(PurgeEntry.workshop_id == workshop_id, PurgeEntry.id == entry_id).values(entry=entry)
    )

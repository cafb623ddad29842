"""How much of each kind there is that goes in time, and how much went: counted by a worker, told to whoever watches."""

from dataclasses import dataclass, fields
from typing import Any

from sqlalchemy import Connection, Select, func, insert, select, update

from worker.records.tables import (
    Draft,
    Event,
    Kept,
    KeptAnswer,
    OutboxMessage,
    Revision,
    Session,
    SetAside,
    SharedLink,
    StudyEvent,
)


@dataclass
class Size:
    """How much of a kind there is. bytes: of its texts. oldest: seconds since 1970; None: there is none."""

    rows: int
    bytes: int
    oldest: float | None


def _of(text: Any, at: Any) -> Select[int, int, float | None]:
    return select(func.count(), func.coalesce(func.sum(func.length(text)), 0), func.min(at))


_COUNTED = {
    "deliveries": [_of(OutboxMessage.body, OutboxMessage.created_at)],
    "events": [_of(Event.data, Event.at), _of(StudyEvent.data, StudyEvent.at)],
    "revisions": [_of(Revision.document, Revision.made_at)],
    "answers": [_of(KeptAnswer.body, KeptAnswer.created_at)],
    "sessions": [_of(Session.secret_sha256, Session.created_at)],
    "drafts": [_of(Draft.content, Draft.changed_at)],
    "links": [_of(SharedLink.label, SharedLink.created_at)],
    "asides": [_of(SetAside.row, SetAside.created_at)],
}


def measured(connection: Connection) -> dict[str, Size]:
    """How much of each kind there is, by kind. Reads all of it: for once an hour."""
    found = {}
    for kind, statements in _COUNTED.items():
        rows = [connection.execute(statement).one() for statement in statements]
        oldest = [row[2] for row in rows if row[2] is not None]
        found[kind] = Size(sum(row[0] for row in rows), sum(row[1] for row in rows), min(oldest, default=None))
    return found


def write_down(connection: Connection, sizes: dict[str, Size], removed: dict[str, int], now: float) -> None:
    """Keep how much there is, and add how much went (rows of each of these kinds)."""
    for kind, size in sizes.items():
        went = removed[kind]
        values = {"rows": size.rows, "bytes": size.bytes, "oldest_at": size.oldest, "measured_at": now}
        known = update(Kept).where(Kept.kind == kind).values(removed=Kept.removed + went, **values)
        if not connection.execute(known).rowcount:
            connection.execute(insert(Kept).values(kind=kind, removed=went, **values))


@dataclass(frozen=True)
class KeptRow:
    """What was written down of a kind, see Size. removed: rows, since the records began."""

    kind: str
    rows: int
    bytes: int
    oldest_at: float | None
    removed: int
    measured_at: float


def written_down(connection: Connection) -> list[KeptRow]:
    """By kind; nothing until a worker counted for the first time, as it begins."""
    columns = [getattr(Kept, f.name) for f in fields(KeptRow)]
    return [KeptRow(*row) for row in connection.execute(select(*columns).order_by(Kept.kind))]

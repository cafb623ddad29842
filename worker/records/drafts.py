"""What was typed on a page and not sent off yet. Every statement names the workshop."""

import json
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, delete, insert, select, update

from worker.records.ids import new_id
from worker.records.tables import Draft

MOST = 200
"""Of a workshop, on one page, without a plan; the oldest go first."""


@dataclass(frozen=True)
class DraftRow:
    """content: from JSON. changed_at: seconds since 1970, UTC."""

    id: str
    plan_id: str | None
    content: dict[str, Any]
    edition: int
    changed_at: float
    changed_by: str


@dataclass(frozen=True)
class Place:
    """Where a draft is typed. plan_id: about which plan; None: about none yet."""

    workshop_id: str
    page: str
    plan_id: str | None = None


_COLUMNS = (Draft.id, Draft.plan_id, Draft.content, Draft.edition, Draft.changed_at, Draft.changed_by)


def at(connection: Connection, place: Place) -> list[DraftRow]:
    """All of one place, the newest first."""
    about = Draft.plan_id.is_(None) if place.plan_id is None else Draft.plan_id == place.plan_id
    rows = connection.execute(
        select(*_COLUMNS)
        .where(Draft.workshop_id == place.workshop_id, Draft.page == place.page, about)
        .order_by(Draft.changed_at.desc(), Draft.id)
    )
    return [_row(row) for row in rows]


def find(connection: Connection, workshop_id: str, draft_id: str) -> DraftRow | None:
    """The workshop's draft of that id."""
    row = connection.execute(
        select(*_COLUMNS).where(Draft.workshop_id == workshop_id, Draft.id == draft_id)
    ).one_or_none()
    return None if row is None else _row(row)


def begin(connection: Connection, place: Place, content: dict[str, Any], who: str, now: float) -> DraftRow:
    """A new draft."""
    for old in at(connection, place)[MOST - 1 :]:
        remove(connection, place.workshop_id, old.id)
    made = DraftRow(new_id(), place.plan_id, content, 1, now, who)
    connection.execute(
        insert(Draft).values(
            id=made.id,
            workshop_id=place.workshop_id,
            plan_id=place.plan_id,
            page=place.page,
            content=json.dumps(content),
            edition=1,
            changed_at=now,
            changed_by=who[:200],
        )
    )
    return made


def change(
    connection: Connection, workshop_id: str, seen: tuple[str, int], content: dict[str, Any], who: str, now: float
) -> bool:
    """Put something else in its place. seen: its id and edition; False where it is not in that edition any more."""
    draft_id, edition = seen
    changed = connection.execute(
        update(Draft)
        .where(Draft.workshop_id == workshop_id, Draft.id == draft_id, Draft.edition == edition)
        .values(content=json.dumps(content), edition=edition + 1, changed_at=now, changed_by=who[:200])
    )
    return changed.rowcount == 1


def remove(connection: Connection, workshop_id: str, draft_id: str) -> None:
    """It was sent off, or is not wanted any more."""
    connection.execute(delete(Draft).where(Draft.workshop_id == workshop_id, Draft.id == draft_id))


def _row(row: Any) -> DraftRow:
    return DraftRow(row.id, row.plan_id, json.loads(row.content), row.edition, row.changed_at, row.changed_by)

"""The floor's log of a plan, and what supporters were told of it. Every query names the workshop."""

import json
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, delete, func, insert, select

from worker.records.ids import new_id
from worker.records.reading import line_of
from worker.records.tables import FloorEntry, Plan, SupportersUpdate

MOST_ENTRIES = 200_000
"""Per plan."""


class TooManyEntries(Exception):
    """The plan's log is full."""


@dataclass(frozen=True)
class LoggedEntry:
    """number: 1, 2, 3 ... per plan. entry: as it was sent. created_at: seconds since 1970, UTC."""

    id: str
    number: int
    entry: dict[str, Any]
    created_at: float


def append(connection: Connection, workshop_id: str, plan_id: str, entries: list[dict[str, Any]], now: float) -> None:
    """Write entries down in the order given. The caller has checked whose plan it is. Raises TooManyEntries."""
    # the plan's row is locked until the transaction ends, so that numbers have no gap
    connection.execute(select(Plan.id).where(Plan.id == plan_id).with_for_update()).one()
    last = connection.execute(
        select(func.coalesce(func.max(FloorEntry.number), 0)).where(FloorEntry.plan_id == plan_id)
    ).scalar_one()
    if last + len(entries) > MOST_ENTRIES:
        raise TooManyEntries(f"a plan's log holds {MOST_ENTRIES} entries at most")
    rows = [
        {
            "id": new_id(),
            "workshop_id": workshop_id,
            "plan_id": plan_id,
            "number": last + n,
            "entry": json.dumps(entry),
            "created_at": now,
        }
        for n, entry in enumerate(entries, start=1)
    ]
    if rows:
        connection.execute(insert(FloorEntry), rows)


def entries(connection: Connection, workshop_id: str, plan_id: str) -> list[LoggedEntry]:
    """The plan's log in the order it was sent."""
    rows = connection.execute(
        select(FloorEntry.id, FloorEntry.number, FloorEntry.entry, FloorEntry.created_at)
        .where(FloorEntry.workshop_id == workshop_id, FloorEntry.plan_id == plan_id)
        .order_by(FloorEntry.number)
    )
    return [LoggedEntry(r.id, r.number, json.loads(r.entry), r.created_at) for r in rows]


def strike(connection: Connection, workshop_id: str, plan_id: str, entry_id: str) -> bool:
    """Take an entry out that was a mistake; False if there is none such."""
    found = connection.execute(
        delete(FloorEntry).where(
            FloorEntry.workshop_id == workshop_id, FloorEntry.plan_id == plan_id, FloorEntry.id == entry_id
        )
    )
    return bool(found.rowcount)


def keep_update(connection: Connection, workshop_id: str, plan_id: str, document: str, now: float) -> None:
    """Remember what supporters were told."""
    connection.execute(
        insert(SupportersUpdate).values(
            id=new_id(), workshop_id=workshop_id, plan_id=plan_id, document=document, created_at=now
        )
    )


@dataclass(frozen=True)
class UpdateKept:
    """What supporters were told. document: JSON text. created_at: seconds since 1970, UTC."""

    plan_id: str
    document: str
    created_at: float


def last_update(connection: Connection, workshop_id: str, plan_id: str) -> UpdateKept | None:
    """The newest update of the plan, or of the nearest plan before it that has one."""
    return next(iter(updates(connection, workshop_id, plan_id)), None)


def updates(connection: Connection, workshop_id: str, plan_id: str) -> list[UpdateKept]:
    """All updates of the plan, the newest first; after them those of the plan it was made from, and so on."""
    return [
        UpdateKept(*row)
        for here in line_of(connection, workshop_id, plan_id)
        for row in connection.execute(
            select(SupportersUpdate.plan_id, SupportersUpdate.document, SupportersUpdate.created_at)
            .where(SupportersUpdate.workshop_id == workshop_id, SupportersUpdate.plan_id == here)
            .order_by(SupportersUpdate.created_at.desc())
        )
    ]


def packing_began(connection: Connection, workshop_id: str, plan_id: str) -> bool:
    """Whether parcels were packed by the log of the plan or of one that it was made from."""
    return any(
        one.entry.get("what") == "packed"
        for here in line_of(connection, workshop_id, plan_id)
        for one in entries(connection, workshop_id, here)
    )

"""The story of each plan: numbered 1, 2, 3 ... without gaps, only ever added to."""

import json
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, bindparam, insert, select, update

from worker.records.tables import Event, Plan

"""Kinds after which nothing follows until somebody asks for a new revision."""

# Written once: to put a statement together takes longer than to carry it out, and here a write lock is held.
_NEXT = (
    update(Plan).where(Plan.id == bindparam("plan")).values(last_event=Plan.last_event + 1).returning(Plan.last_event)
)
_NEW = insert(Event)


@dataclass(frozen=True)
class PlanEvent:
    """number: from 1, per plan. at: seconds since 1970, UTC."""

    number: int
    kind: str
    data: dict[str, Any]
    at: float


def append(connection: Connection, plan_id: str, kind: str, data: dict[str, Any], at: float) -> None:
    """Add the plan's next event; its row is locked until the transaction ends, so numbers have no gap."""
    number = connection.execute(_NEXT, {"plan": plan_id}).scalar_one()
    _write(connection, plan_id, number, kind, data, at)


def begin(connection: Connection, plan_id: str, kind: str, data: dict[str, Any], at: float) -> None:
    """The first event of a plan that was written, in this very transaction, as having one."""
    _write(connection, plan_id, 1, kind, data, at)


def _write(connection: Connection, plan_id: str, number: int, kind: str, data: dict[str, Any], at: float) -> None:
    connection.execute(_NEW, {"plan_id": plan_id, "number": number, "kind": kind, "data": json.dumps(data), "at": at})


def after(connection: Connection, plan_id: str, number: int, limit: int = 500) -> list[PlanEvent]:
    """The plan's events that follow `number`, oldest first."""
    rows = connection.execute(
        select(Event.number, Event.kind, Event.data, Event.at)
        .where(Event.plan_id == plan_id, Event.number > number)
        .order_by(Event.number)
        .limit(limit)
    )
    return [PlanEvent(row.number, row.kind, json.loads(row.data), row.at) for row in rows]

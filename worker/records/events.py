"""What happened to a plan or a study, and what a study's parts said: numbered without gaps, only ever added to."""

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from sqlalchemy import Connection, bindparam, insert, literal, select, update

from worker.records.tables import Event, Plan, Study, StudyEvent

Job = Literal["plan", "study"]

_TABLES: dict[Job, type[Plan] | type[Study]] = {"plan": Plan, "study": Study}

# Written once: to put a statement together takes longer than to carry it out, and here a write lock is held.
_NEXT = {
    job: update(table)
    .where(table.id == bindparam("job"))
    .values(last_event=table.last_event + bindparam("more"))
    .returning(table.last_event)
    for job, table in _TABLES.items()
}
_NEW = {"plan": insert(Event), "study": insert(StudyEvent)}


@dataclass(frozen=True)
class EventRow:
    """number: from 1, per plan or study. data: JSON text. at: seconds since 1970, UTC.

    part: of a study, which said it; None: the job itself did.
    """

    number: int
    kind: str
    data: str
    at: float
    part: int | None = None


def append(connection: Connection, job: Job, job_id: str, kind: str, data: dict[str, Any], at: float) -> None:
    """Add the next event; the job's row is locked until the transaction ends, so numbers have no gap."""
    extend(connection, job, job_id, [(kind, data)], at)


def extend(
    connection: Connection,
    job: Job,
    job_id: str,
    said: Sequence[tuple[str, Any]],
    at: float,
    part: int | None = None,
) -> None:
    """Add several, as `append` does. said: kind and data of each. part: of a study, which said them."""
    if said:
        last = connection.execute(_NEXT[job], {"job": job_id, "more": len(said)}).scalar_one()
        _write(connection, job, job_id, last - len(said) + 1, said, at, part)


def begin(connection: Connection, job: Job, job_id: str, kind: str, data: dict[str, Any], at: float) -> None:
    """The first event of a job that was written, in this very transaction, as having one."""
    begin_all(connection, job, kind, [(job_id, data, at)])


def begin_all(connection: Connection, job: Job, kind: str, begun: Iterable[tuple[str, dict[str, Any], float]]) -> None:
    """The first events of several such jobs, all of one kind. begun: job, data and moment of each."""
    rows = [
        _owner(job, job_id, None) | {"number": 1, "kind": kind, "data": json.dumps(data), "at": at}
        for job_id, data, at in begun
    ]
    connection.execute(_NEW[job], rows)


def _write(
    connection: Connection,
    job: Job,
    job_id: str,
    first: int,
    said: Sequence[tuple[str, Any]],
    at: float,
    part: int | None,
) -> None:
    owner = _owner(job, job_id, part)
    rows = [
        owner | {"number": number, "kind": kind, "data": json.dumps(data), "at": at}
        for number, (kind, data) in enumerate(said, start=first)
    ]
    connection.execute(_NEW[job], rows)


def _owner(job: Job, job_id: str, part: int | None) -> dict[str, Any]:
    return {"plan_id": job_id} if job == "plan" else {"study_id": job_id, "part": part}


def latest_said(connection: Connection, study_id: str, kind: str) -> str | None:
    """What a study said last of one kind, JSON text. The caller has checked whose it is."""
    query = select(StudyEvent.data).where(StudyEvent.study_id == study_id, StudyEvent.kind == kind)
    said: str | None = connection.execute(query.order_by(StudyEvent.number.desc()).limit(1)).scalar()
    return said


def after(connection: Connection, job: Job, job_id: str, number: int, limit: int = 500) -> list[EventRow]:
    """The events that follow `number`, oldest first. The caller has checked whose they are."""
    events: type[Event] | type[StudyEvent] = Event if job == "plan" else StudyEvent
    part = literal(None) if job == "plan" else StudyEvent.part
    mine = Event.plan_id == job_id if job == "plan" else StudyEvent.study_id == job_id
    query = select(events.number, events.kind, events.data, events.at, part).where(mine)
    rows = connection.execute(query.where(events.number > number).order_by(events.number).limit(limit))
    return [EventRow(*row) for row in rows]

"""Studies in the records: written down, read, deleted. Reading names the workshop."""

import hashlib
import json
from collections import Counter
from dataclasses import dataclass, fields
from typing import Any

from sqlalchemy import Connection, delete, func, insert, select, tuple_

from planner.studies.parts import Split, Subquestion, firsts
from worker.records import events
from worker.records.ids import new_id
from worker.records.statuses import OPEN
from worker.records.submitting import note_bytes, within_quota
from worker.records.tables import Study, StudyPart


@dataclass(frozen=True)
class StudyRow:
    """A study's standing, without its document. Times in seconds since 1970, UTC. question, failure: JSON text."""

    id: str
    plan_id: str
    revision: int
    kind: str
    question: str
    status: str
    ended_because: str | None
    failure: str | None
    parts: int
    parts_done: int
    last_event: int
    stop_requested: bool
    created_at: float
    started_at: float | None
    finished_at: float | None

    @property
    def finished(self) -> bool:
        return self.status not in OPEN


_COLUMNS = [getattr(Study, f.name) for f in fields(StudyRow)]


@dataclass(frozen=True)
class Question:
    """What is asked of a plan's revision. queue: small or large."""

    plan_id: str
    revision: int
    kind: str
    question: dict[str, Any]
    queue: str
    request_id: str | None = None

    @property
    def text(self) -> str:
        return json.dumps(self.question, sort_keys=True)

    @property
    def digest(self) -> str:
        return hashlib.sha256(f"{self.kind}\n{self.revision}\n{self.text}".encode()).hexdigest()


def alike(connection: Connection, workshop_id: str, question: Question) -> StudyRow | None:
    """The newest study of the same question that is answered or will be."""
    row = connection.execute(
        select(*_COLUMNS)
        .where(
            Study.workshop_id == workshop_id,
            Study.plan_id == question.plan_id,
            Study.digest == question.digest,
            Study.status.in_((*OPEN, "done")),
            Study.stop_requested.is_(False),
        )
        .order_by(Study.created_at.desc())
        .limit(1)
    ).one_or_none()
    return None if row is None else StudyRow(**row._asdict())


def submit(connection: Connection, workshop_id: str, question: Question, split: Split, now: float) -> str:
    """Write a study down with its parts, queued; gives its id.

    Raises TooManyOpenPlans or TooManyBytes where the workshop's quota is used up.
    """
    within_quota(connection, workshop_id, len(question.text))
    study_id = new_id()
    connection.execute(
        insert(Study).values(
            id=study_id,
            workshop_id=workshop_id,
            plan_id=question.plan_id,
            revision=question.revision,
            kind=question.kind,
            question=question.text,
            digest=question.digest,
            queue=question.queue,
            parts=len(split.parts),
            parts_done=0,
            last_event=0,
            status="queued",
            stop_requested=False,
            request_id=question.request_id,
            created_at=now,
        )
    )
    connection.execute(insert(StudyPart), _parts(study_id, split.parts, question.queue, now))
    events.append(connection, "study", study_id, "begun", split.begun | {"parts": len(split.parts)}, now)
    return study_id


def _parts(study_id: str, parts: list[Subquestion], queue: str, now: float) -> list[dict[str, Any]]:
    waits = Counter(part.unlocks for part in parts)
    return [
        {
            "id": new_id(),
            "study_id": study_id,
            "number": n,
            "ask": json.dumps(part.ask),
            "unlocks": part.unlocks,
            "first": first,
            "waits_for": waits[n],
            "status": "held" if waits[n] else "queued",
            "queue": queue,
            "attempt": 0,
            "losses": 0,
            "created_at": now,
        }
        for n, (part, first) in enumerate(zip(parts, firsts(parts), strict=True))
    ]


def find(connection: Connection, workshop_id: str, study_id: str) -> StudyRow | None:
    """The workshop's study of that id."""
    row = connection.execute(
        select(*_COLUMNS).where(Study.workshop_id == workshop_id, Study.id == study_id)
    ).one_or_none()
    return None if row is None else StudyRow(**row._asdict())


def page(
    connection: Connection,
    workshop_id: str,
    plan_id: str,
    limit: int,
    before: tuple[float, str] | None = None,
    kind: str | None = None,
) -> list[StudyRow]:
    """A plan's studies, newest first. before: (created_at, id) of the last one already seen."""
    query = select(*_COLUMNS).where(Study.workshop_id == workshop_id, Study.plan_id == plan_id)
    if before is not None:
        query = query.where(tuple_(Study.created_at, Study.id) < tuple_(*before))
    if kind is not None:
        query = query.where(Study.kind == kind)
    rows = connection.execute(query.order_by(Study.created_at.desc(), Study.id.desc()).limit(limit))
    return [StudyRow(**row._asdict()) for row in rows]


def result(connection: Connection, study_id: str) -> str | None:
    """The finished study's document, JSON text. The caller has checked whose study it is."""
    return connection.execute(select(Study.result).where(Study.id == study_id)).scalar()


@dataclass(frozen=True)
class Locked:
    """What whoever changes a study has to know of it. question: JSON text."""

    workshop_id: str
    status: str
    stop_requested: bool
    kind: str
    question: str
    plan_id: str
    revision: int
    request_id: str | None


_LOCKED = select(*(getattr(Study, f.name) for f in fields(Locked)))


def lock(connection: Connection, study_id: str) -> Locked | None:
    """The study, locked until the transaction ends: whoever changes a study or its parts does this first."""
    row = connection.execute(_LOCKED.where(Study.id == study_id).with_for_update()).one_or_none()
    return None if row is None else Locked(*row)


def remove(connection: Connection, study_id: str) -> None:
    """Delete a study with its parts and all it said."""
    row = connection.execute(
        delete(Study)
        .where(Study.id == study_id)
        .returning(Study.workshop_id, func.coalesce(func.length(Study.result), 0))
    ).one_or_none()
    if row is not None:
        note_bytes(connection, row[0], -int(row[1]))

"""What the study endpoints say."""

import json
from datetime import datetime
from typing import Any

from pydantic import BaseModel, Field

from api.http.moments import moment
from api.http.problems import Finding
from api.plans.schemas import Status
from worker.records.events import EventRow
from worker.records.studies import StudyRow


class StudyState(BaseModel):
    """Where a study stands."""

    id: str
    plan: str
    plan_revision: int = Field(description="the revision of the plan it is about")
    kind: str
    question: dict[str, Any]
    status: Status
    ended_because: str | None = Field(
        description="done: complete, stopped; failed: infeasible, none-found, broken-rules, too-large, overran, lost, "
        "fault; cancelled: cancelled"
    )
    problems: list[Finding] = Field(description="why it failed")
    parts: int = Field(description="pieces of work it falls into")
    parts_done: int
    stop_requested: bool
    created_at: datetime
    started_at: datetime | None
    finished_at: datetime | None
    links: dict[str, str]


class StudyAnswer(StudyState):
    """Where a study stands, what its parts have said so far, and its document in the end."""

    so_far: list[dict[str, Any]] = Field(
        description="what was worked out, in the order it was: objects of one member, named after its kind; "
        "of a long promise what its first replications say of tiers, `preliminary`"
    )
    result: Any = Field(description="the study's document; null: not done")


class StudyPage(BaseModel):
    """Studies, newest first. next: where the following page is; null: this was the last."""

    studies: list[StudyState]
    next: str | None


def state(row: StudyRow) -> StudyState:
    """The records' row as the API says it."""
    here = f"/v1/studies/{row.id}"
    return StudyState(
        id=row.id,
        plan=row.plan_id,
        plan_revision=row.revision,
        kind=row.kind,
        question=json.loads(row.question),
        status=row.status,
        ended_because=row.ended_because,
        problems=[Finding(**problem) for problem in json.loads(row.failure or "[]")],
        parts=row.parts,
        parts_done=row.parts_done,
        stop_requested=row.stop_requested,
        created_at=moment(row.created_at),
        started_at=None if row.started_at is None else moment(row.started_at),
        finished_at=None if row.finished_at is None else moment(row.finished_at),
        links={"self": here, "events": f"{here}/events", "plan": f"/v1/plans/{row.plan_id}"},
    )


def is_said(told: EventRow) -> bool:
    """Whether an event is something worked out, not news of the study itself."""
    return told.part is not None


def answer_text(row: StudyRow, told: list[EventRow], result: str | None) -> str:
    """StudyAnswer as JSON; what was kept goes out as the text it is."""
    standing = state(row).model_dump_json().removesuffix("}")
    so_far = ",".join(f"{{{json.dumps(t.kind)}:{t.data}}}" for t in told if is_said(t))
    return f'{standing},"so_far":[{so_far}],"result":{result or "null"}}}'

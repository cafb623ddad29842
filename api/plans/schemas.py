"""What the plan endpoints say, as models: OpenAPI's words for them come from here."""

from datetime import datetime
from typing import Literal

from pydantic import BaseModel, Field

from api.http.moments import moment
from api.http.problems import Finding
from planner.plan import RunPlan
from worker.records.reading import PlanRow

Status = Literal["queued", "running", "done", "failed", "cancelled"]


class Progress(BaseModel):
    """How far planning is. Money in the campaign's currency; null where nothing is known yet."""

    phase: str | None = Field(description="reading, first plan, search, proof, audit")
    share: float | None = Field(description="used share of the time budget, 0 to 1")
    cost: float | None = Field(description="of the best plan so far")
    bound: float | None = Field(description="no plan can cost less")
    gap: float | None = Field(
        description="(cost - bound) / (cost - what no order of work changes); with another aim than cost, of that"
    )


class PlanState(BaseModel):
    """Where a plan stands."""

    id: str
    title: str
    status: Status
    ended_because: str | None = Field(
        description="done: proven, gap-reached, budget-used, stopped; failed: unreadable, infeasible, none-found, "
        "broken-rules, stopped, too-large, overran, lost, fault; cancelled: cancelled"
    )
    problems: list[Finding] = Field(description="why there is no plan, and the smallest change that would help")
    revision: int = Field(description="the revision wanted; it is published once status is done")
    queue: Literal["small", "large"]
    budget_seconds: float
    progress: Progress
    stop_requested: bool
    parent: str | None = Field(description="the plan this one is a variant of")
    created_at: datetime
    started_at: datetime | None
    finished_at: datetime | None
    links: dict[str, str]


class PlanAnswer(PlanState):
    """Where a plan stands, and the newest run plan published for it."""

    plan_revision: int | None = Field(description="the revision `plan` is; null: none published yet")
    plan: RunPlan | None


class PlanPage(BaseModel):
    """Plans, newest first. next: where the following page is; null: this was the last."""

    plans: list[PlanState]
    next: str | None


class PlanTitle(BaseModel):
    """What can be changed of a plan without planning anew."""

    model_config = {"extra": "forbid"}
    title: str = Field(min_length=1, max_length=200)


class RevisionState(BaseModel):
    """One published run plan."""

    number: int
    cost: float | None
    bound: float | None
    gap: float | None
    ended_because: str
    solve_seconds: float
    waited_seconds: float = Field(
        description="of these, seconds that planning waited for a free core; they do not count against its budget, "
        "which lasts at most twice as long for them"
    )
    made_at: datetime


class RevisionList(BaseModel):
    """A plan's revisions, oldest first."""

    revisions: list[RevisionState]


def state(row: PlanRow) -> PlanState:
    """The records' row as the API says it."""
    here = f"/v1/plans/{row.id}"
    return PlanState(
        id=row.id,
        title=row.title,
        status=row.status,
        ended_because=row.ended_because,
        problems=[Finding(**problem) for problem in row.problems],
        revision=row.revision,
        queue=row.queue,
        budget_seconds=row.budget,
        progress=Progress(phase=row.phase, share=row.share, cost=row.cost, bound=row.bound, gap=row.gap),
        stop_requested=row.stop_requested,
        parent=row.parent_id,
        created_at=moment(row.created_at),
        started_at=None if row.started_at is None else moment(row.started_at),
        finished_at=None if row.finished_at is None else moment(row.finished_at),
        links={
            "self": here,
            "events": f"{here}/events",
            "campaign": f"{here}/campaign",
            "revisions": f"{here}/revisions",
            "runs": f"{here}?list=runs",
            "packs": f"{here}?list=packs",
        },
    )


def etag(row: PlanRow) -> str:
    """Names this state of the plan; its first number, the edition, is what If-Match compares."""
    return f'"{row.edition}-{row.last_event}"'

"""A plan in a worker's hands, from its claim to its publication: what is a plan's own (see `claiming`)."""

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, func, insert, select

from worker.records import claiming, counters, ending, events, leases
from worker.records.claiming import Claim, Found
from worker.records.events import Job
from worker.records.leases import Fence, Leased
from worker.records.submitting import note_bytes
from worker.records.tables import Campaign, Plan, Revision, Workshop

LEAST_BUDGET = 1.0
"""Seconds of planning that a plan handed back gets in any case, to write down what it has."""


@dataclass(frozen=True)
class PlanClaim(Claim):
    """A plan in this worker's hands. budget: seconds of planning that are left of it.

    so_far: what a worker that was asked to end before had of it, JSON text (`worker.solving.plan.SoFar`); worked: the
    seconds it had worked.
    """

    revision: int
    campaign_id: str
    document: str
    budget: float
    so_far: str | None = None
    worked: float = 0.0


@dataclass(frozen=True)
class Published:
    """What a finished revision puts into the records. Money in the campaign's currency.

    waited_seconds: of solve_seconds, what the planner waited for a free core, as far as it is known.
    """

    document: str
    cost: float | None
    bound: float | None
    gap: float | None
    ended_because: str
    solve_seconds: float
    waited_seconds: float = 0.0


class Plans:
    """Plans as a kind of job: each is held by its own row."""

    name: Job = "plan"
    table: Leased = Plan

    def find(self, connection: Connection, row_id: str) -> Found[None] | None:
        row = connection.execute(
            select(Plan, Campaign.document)
            .join(Campaign, Campaign.id == Plan.campaign_id)
            .where(Plan.id == row_id)
            .with_for_update(of=Plan)
        ).one_or_none()
        return None if row is None else Found(row_id, row, None)

    def may_begin(self, connection: Connection, found: Found[None], cores: int, now: float) -> bool:
        """A plan waits on while its workshop's others keep all the cores busy that it may use."""
        return _within_cores(connection, found.row.workshop_id, cores, now)

    def written(self, cores: int, at: float) -> dict[str, Any]:
        return {"cores": cores, "phase": "reading", "share": 0.0, "started_at": at}

    def begin(self, connection: Connection, found: Found[None], fence: Fence, again: bool, at: float) -> PlanClaim:
        row = found.row
        said = {"attempt": fence.attempt, "revision": row.revision}
        events.append(connection, "plan", row.id, "started-again" if again else "started", said, at)
        return PlanClaim(
            fence,
            row.id,
            row.workshop_id,
            row.request_id,
            revision=row.revision,
            campaign_id=row.campaign_id,
            document=row.document,
            budget=max(LEAST_BUDGET, row.budget - row.worked),
            so_far=row.so_far,
            worked=row.worked,
        )

    def lost(self, losses: int) -> dict[str, str]:
        return {
            "pointer": "",
            "message": f"{losses} workers were lost while they planned this campaign",
            "remedy": "plan fewer colourways or orders at a time, or give the workers more memory",
        }


PLANS = Plans()


def _within_cores(connection: Connection, workshop_id: str, more: int, now: float) -> bool:
    """Whether the workshop may have so many more cores; one plan at a time it may always have."""
    # Locked, so that two workers that claim at the same moment count each other.
    most = connection.execute(
        select(Workshop.max_cores).where(Workshop.id == workshop_id).with_for_update(key_share=True)
    ).scalar_one()
    busy = connection.execute(
        select(func.coalesce(func.sum(Plan.cores), 0)).where(
            Plan.workshop_id == workshop_id, Plan.status == "running", Plan.lease_until >= now
        )
    ).scalar_one()
    return busy == 0 or busy + more <= most


def note_progress(connection: Connection, mine: PlanClaim, progress: dict[str, Any], now: float) -> bool:
    """Record how far it is; False if the plan is no longer mine."""
    held = connection.execute(leases.held(mine.fence).values(**progress)).rowcount == 1
    if held:
        events.append(connection, "plan", mine.job_id, "progress", progress, now)
    return held


def publish(connection: Connection, mine: PlanClaim, result: Published, now: float) -> bool:
    """Write the finished plan; False, with nothing written, if the plan is no longer mine."""
    if not claiming.let_go(connection, mine):
        return False
    note_bytes(connection, mine.workshop_id, len(result.document))
    found = {"cost": result.cost, "bound": result.bound, "gap": result.gap}
    connection.execute(
        insert(Revision).values(
            plan_id=mine.job_id,
            number=mine.revision,
            campaign_id=mine.campaign_id,
            document=result.document,
            solve_seconds=result.solve_seconds,
            waited_seconds=result.waited_seconds,
            ended_because=result.ended_because,
            made_at=now,
            **found,
        )
    )
    counters.solved(connection, result.solve_seconds, result.gap)
    said = {"revision": mine.revision, **found}
    kept = {"share": 1.0, "so_far": None, **found}
    ending.end(connection, "plan", mine.job_id, "done", result.ended_because, said, now, **kept)
    return True


def hand_back(connection: Connection, mine: PlanClaim, so_far: str | None, seconds: float, now: float) -> bool:
    """Give the plan back to the queue with what there is of it (JSON text); False if it is no longer mine. seconds:
    worked on it this time."""
    kept = {"so_far": mine.so_far if so_far is None else so_far, "worked": mine.worked + seconds, "phase": None}
    held = claiming.hand_back(connection, mine, **kept)
    if held:
        events.append(connection, "plan", mine.job_id, "handed-back", {"seconds": round(seconds, 3)}, now)
    return held

"""A plan in a worker's hands, from its claim to its publication; leases and fences are those of `leases`."""

import json
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, bindparam, func, insert, select, update

from worker.records import counters, events, leases, webhook_outbox
from worker.records.leases import Fence
from worker.records.submitting import note_bytes
from worker.records.tables import Campaign, Plan, Revision, Workshop

# Written once: asked ten times a second while a plan is being made.
_STANDING = select(Plan.stop_requested).where(
    Plan.id == bindparam("plan"), Plan.attempt == bindparam("attempt"), Plan.status == "running"
)


LEAST_BUDGET = 1.0
"""Seconds of planning that a plan handed back gets in any case, to write down what it has."""


@dataclass(frozen=True)
class Claim:
    """A plan in this worker's hands. budget: seconds of planning that are left of it.

    so_far: the order of work of the best plan of a worker that was asked to end before, JSON text; worked: the seconds
    it had worked.
    """

    fence: Fence
    revision: int
    campaign_id: str
    document: str
    budget: float
    request_id: str | None
    so_far: str | None = None
    worked: float = 0.0

    @property
    def plan_id(self) -> str:
        return self.fence.row_id

    @property
    def attempt(self) -> int:
        return self.fence.attempt


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


def claim(
    connection: Connection,
    plan_id: str,
    worker: str,
    now: float,
    lease: float,
    attempts: int,
    cores: int = 1,
    at: float | None = None,
) -> Claim | None:
    """Take the plan if it waits, or if its worker's lease ran out; None if there is nothing to do.

    now: by the clock of leases. at: the wall clock's time, for the story of the plan; None: the same.

    A plan waits on while its workshop's others keep all the cores busy that it may use; `cores` is what this one takes.
    A plan that lost `attempts` workers is failed instead of taking another one down.
    """
    row = connection.execute(
        select(Plan, Campaign.document)
        .join(Campaign, Campaign.id == Plan.campaign_id)
        .where(Plan.id == plan_id)
        .with_for_update(of=Plan)
    ).one_or_none()
    if row is None:
        return None
    at = now if at is None else at
    found = leases.free(row, now)
    if found is None:
        return None
    if found.losses >= attempts:
        fail_plan(connection, plan_id, "lost", _lost(found.losses), at)
        return None
    if not found.lost and not _within_cores(connection, row.workshop_id, cores, now):
        return None
    fence = leases.take(
        connection, Plan, plan_id, found, worker, now, lease, cores=cores, phase="reading", share=0.0, started_at=at
    )
    kind = "started-again" if found.lost else "started"
    events.append(connection, "plan", plan_id, kind, {"attempt": fence.attempt, "revision": row.revision}, at)
    return Claim(
        fence,
        row.revision,
        row.campaign_id,
        row.document,
        max(LEAST_BUDGET, row.budget - row.worked),
        row.request_id,
        row.so_far,
        row.worked,
    )


def _lost(losses: int) -> list[dict[str, str]]:
    return [
        {
            "pointer": "",
            "message": f"{losses} workers were lost while they planned this campaign",
            "remedy": "plan fewer colourways or orders at a time, or give the workers more memory",
        }
    ]


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


def note_progress(connection: Connection, mine: Claim, progress: dict[str, Any], now: float) -> bool:
    """Record how far it is; False if the plan is no longer mine."""
    held = connection.execute(leases.held(mine.fence).values(**progress)).rowcount == 1
    if held:
        events.append(connection, "plan", mine.plan_id, "progress", progress, now)
    return held


def standing(connection: Connection, mine: Claim) -> tuple[bool, bool]:
    """Whether the plan is still mine, and whether somebody asked to stop it and keep the best."""
    row = connection.execute(_STANDING, {"plan": mine.plan_id, "attempt": mine.attempt}).one_or_none()
    return (False, False) if row is None else (True, bool(row.stop_requested))


def publish(connection: Connection, mine: Claim, result: Published, now: float) -> bool:
    """Write the finished plan; False, with nothing written, if the plan is no longer mine."""
    closed = connection.execute(
        leases.held(mine.fence)
        .values(
            status="done",
            ended_because=result.ended_because,
            phase=None,
            share=1.0,
            cost=result.cost,
            bound=result.bound,
            gap=result.gap,
            lease_until=None,
            so_far=None,
            edition=Plan.edition + 1,
            finished_at=now,
        )
        .returning(Plan.workshop_id)
    ).scalar()
    if closed is None:
        return False
    note_bytes(connection, closed, len(result.document))
    connection.execute(
        insert(Revision).values(
            plan_id=mine.plan_id,
            number=mine.revision,
            campaign_id=mine.campaign_id,
            document=result.document,
            cost=result.cost,
            bound=result.bound,
            gap=result.gap,
            solve_seconds=result.solve_seconds,
            waited_seconds=result.waited_seconds,
            ended_because=result.ended_because,
            made_at=now,
        )
    )
    summary = {
        "revision": mine.revision,
        "because": result.ended_because,
        "cost": result.cost,
        "bound": result.bound,
        "gap": result.gap,
    }
    counters.solved(connection, result.solve_seconds, result.gap)
    _end(connection, mine.plan_id, "done", summary, now)
    return True


def hand_back(connection: Connection, mine: Claim, so_far: str | None, seconds: float, now: float) -> bool:
    """Give the plan back to the queue with the order of work of the best plan so far (JSON text), without counting an
    attempt; False if it is no longer mine. seconds: worked on it this time."""
    kept = mine.so_far if so_far is None else so_far
    held = leases.hand_back(connection, mine.fence, so_far=kept, worked=mine.worked + seconds, phase=None)
    if held:
        events.append(connection, "plan", mine.plan_id, "handed-back", {"seconds": round(seconds, 3)}, now)
    return held


def fail(connection: Connection, mine: Claim, because: str, problems: list[dict[str, str]], now: float) -> bool:
    """Record why there is no plan; False if the plan is no longer mine."""
    held = leases.let_go(connection, mine.fence)
    if held:
        fail_plan(connection, mine.plan_id, because, problems, now)
    return held


def fail_plan(connection: Connection, plan_id: str, because: str, problems: list[dict[str, str]], now: float) -> None:
    """End a plan without a result. because: infeasible, broken-rules, stopped, overran, lost, fault."""
    connection.execute(
        update(Plan)
        .where(Plan.id == plan_id)
        .values(
            status="failed",
            ended_because=because,
            failure=json.dumps(problems),
            phase=None,
            lease_until=None,
            edition=Plan.edition + 1,
            finished_at=now,
        )
    )
    _end(connection, plan_id, "failed", {"because": because, "problems": problems}, now)


def _end(connection: Connection, plan_id: str, kind: str, data: dict[str, Any], now: float) -> None:
    counters.add(connection, counters.ENDED, str(data["because"]))
    events.append(connection, "plan", plan_id, kind, data, now)
    webhook_outbox.announce(connection, plan_id, kind, data, now)

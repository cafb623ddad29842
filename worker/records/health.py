"""How much waits, how much is being worked on, and who is there to work, over all workshops."""

from dataclasses import dataclass

from sqlalchemy import Connection, delete, func, insert, select, update

from worker.records.tables import Plan, Revision, StudyPart, Worker

SILENT = 15.0
"""Seconds after which a worker that says nothing counts as gone."""


@dataclass(frozen=True)
class Counts:
    """running: plans with a living lease. workers: worker processes heard of lately."""

    waiting: int
    running: int
    workers: int


def counts(connection: Connection, now: float) -> Counts:
    """As of now, by the clock of leases."""
    waiting = connection.execute(select(func.count()).where(Plan.status == "queued")).scalar_one()
    running = connection.execute(
        select(func.count()).where(Plan.status == "running", Plan.lease_until >= now)
    ).scalar_one()
    workers = connection.execute(select(func.count()).where(Worker.seen_at >= now - SILENT)).scalar_one()
    return Counts(waiting, running, workers)


def parts(connection: Connection, now: float) -> tuple[int, int]:
    """Parts of studies that wait for a worker, and those being worked out. A part that waits for others is neither."""
    waiting = connection.execute(select(func.count()).where(StudyPart.status == "queued")).scalar_one()
    running = connection.execute(
        select(func.count()).where(StudyPart.status == "running", StudyPart.lease_until >= now)
    ).scalar_one()
    return waiting, running


def say_here(connection: Connection, worker: str, queues: str, now: float) -> None:
    """The worker is there. Those silent for long are forgotten on the way."""
    known = connection.execute(update(Worker).where(Worker.id == worker).values(seen_at=now)).rowcount
    if not known:
        connection.execute(delete(Worker).where(Worker.seen_at < now - 100 * SILENT))
        connection.execute(insert(Worker).values(id=worker, queues=queues, seen_at=now))


def say_gone(connection: Connection, worker: str) -> None:
    """The worker ends."""
    connection.execute(delete(Worker).where(Worker.id == worker))


def core_wait(connection: Connection, since: float) -> float | None:
    """Of the time that plans made since then took, the share they waited for a free core; None: none was made."""
    seconds, waited = connection.execute(
        select(func.sum(Revision.solve_seconds), func.sum(Revision.waited_seconds)).where(Revision.made_at >= since)
    ).one()
    return min(1.0, waited / seconds) if seconds else None


@dataclass(frozen=True)
class QueueHealth:
    """A queue as the records know it. oldest: seconds the plan that waits longest has waited, 0 if none."""

    waiting: int
    oldest: float


def queues(connection: Connection, names: tuple[str, ...], now: float) -> dict[str, QueueHealth]:
    """What waits, by queue."""
    rows = connection.execute(
        select(Plan.queue, func.count(), func.min(Plan.created_at)).where(Plan.status == "queued").group_by(Plan.queue)
    )
    found = {queue: QueueHealth(count, max(0.0, now - since)) for queue, count, since in rows}
    return {name: found.get(name, QueueHealth(0, 0.0)) for name in names}

"""How much waits and how much is being worked on, over all workshops."""

from dataclasses import dataclass

from sqlalchemy import Connection, func, select

from worker.records.tables import Plan


@dataclass(frozen=True)
class Counts:
    """running: plans with a living lease."""

    waiting: int
    running: int


def counts(connection: Connection, now: float) -> Counts:
    """As of now."""
    waiting = connection.execute(select(func.count()).where(Plan.status == "queued")).scalar_one()
    running = connection.execute(
        select(func.count()).where(Plan.status == "running", Plan.lease_until >= now)
    ).scalar_one()
    return Counts(waiting, running)

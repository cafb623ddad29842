"""Who works on a row, and whose writing counts: the same for a plan and for a part of a study.

A worker holds a row by a lease it renews. Every write it makes is fenced: it changes the row only while the row still
carries the attempt number that the worker got with its claim. A worker that was thought dead and comes back finds its
number gone and its work is dropped, so what is made twice is published once.
"""

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Row, Update, update

from worker.records.tables import Plan, StudyPart

Leased = type[Plan] | type[StudyPart]


@dataclass(frozen=True)
class Fence:
    """Which row a worker holds, and the attempt number that says it still does."""

    table: Leased
    row_id: str
    attempt: int


@dataclass(frozen=True)
class Free:
    """A row that may be claimed. lost: from a worker whose lease ran out. losses: how many it has lost so far."""

    attempt: int
    lost: bool
    losses: int


def free(row: Row[*tuple[Any, ...]], now: float) -> Free | None:
    """Whether the row (status, attempt, losses, lease_until), locked by the caller, may be claimed; None if not."""
    lost = row.status == "running" and row.lease_until < now
    if row.status != "queued" and not lost:
        return None
    return Free(row.attempt, lost, row.losses + lost)


def take(
    connection: Connection,
    table: Leased,
    row_id: str,
    found: Free,
    worker: str,
    now: float,
    lease: float,
    **values: Any,
) -> Fence:
    """Claim the row, and write `values` into it."""
    attempt = found.attempt + 1
    values |= {
        "status": "running",
        "attempt": attempt,
        "losses": found.losses,
        "lease_until": now + lease,
        "worker": worker,
    }
    connection.execute(update(table).where(table.id == row_id).values(**values))
    return Fence(table, row_id, attempt)


def held(fence: Fence) -> Update:
    """A change of the row that counts only while the fence stands."""
    table = fence.table
    return update(table).where(table.id == fence.row_id, table.attempt == fence.attempt, table.status == "running")


def renew(connection: Connection, fence: Fence, now: float, lease: float) -> bool:
    """Keep the row a while longer; False if it is no longer ours."""
    return connection.execute(held(fence).values(lease_until=now + lease)).rowcount == 1


def let_go(connection: Connection, fence: Fence) -> bool:
    """Hold the row no longer; False if it was not ours any more."""
    return connection.execute(held(fence).values(lease_until=None)).rowcount == 1


def hand_back(connection: Connection, fence: Fence, **values: Any) -> bool:
    """Back into the queue, by a worker that was asked to end: no loss is counted. False if it was not ours any more."""
    waits = held(fence).values(status="queued", lease_until=None, worker=None, sent_at=None, **values)
    return connection.execute(waits).rowcount == 1

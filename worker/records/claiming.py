"""A job in a worker's hands, claimed, held, failed or handed back: the same for a plan and for a study.

A plan is held by its own row. A study is worked out part by part, and whoever works on a part holds that part's row.
What differs between them stands in `plan_claims` and `part_claims`; leases and fences are those of `leases`.
"""

from dataclasses import dataclass
from typing import Any, Generic, Protocol, TypeVar

from sqlalchemy import Connection, Row, bindparam, select

from worker.records import ending, leases
from worker.records.events import Job
from worker.records.leases import Fence, Leased
from worker.records.tables import Plan, Study, StudyPart

# Written once: asked ten times a second while a job is worked on.
_STANDING = {
    Plan: select(Plan.stop_requested).where(
        Plan.id == bindparam("row"), Plan.attempt == bindparam("attempt"), Plan.status == "running"
    ),
    StudyPart: select(Study.stop_requested)
    .join(StudyPart, StudyPart.study_id == Study.id)
    .where(StudyPart.id == bindparam("row"), StudyPart.attempt == bindparam("attempt"), StudyPart.status == "running"),
}


@dataclass(frozen=True)
class Claimant:
    """A worker that asks for work. name: of its process. lease: seconds until it counts as lost. attempts: workers a
    row may lose. cores: how many it keeps busy."""

    name: str
    lease: float
    attempts: int
    cores: int = 1


@dataclass(frozen=True)
class Claim:
    """A row in this worker's hands, and the job it belongs to."""

    fence: Fence
    job_id: str
    workshop_id: str
    request_id: str | None

    @property
    def job(self) -> Job:
        return "plan" if self.fence.table is Plan else "study"


J = TypeVar("J")
C = TypeVar("C", bound=Claim)
C_co = TypeVar("C_co", bound=Claim, covariant=True)


@dataclass(frozen=True)
class Found(Generic[J]):
    """A row that a worker asks for, locked.

    row: status, attempt, losses, lease_until and what its kind needs. job: what its kind needs of a job that has a row
    of its own.
    """

    job_id: str
    row: Row[*tuple[Any, ...]]
    job: J


class Kind(Protocol[J, C_co]):
    """What a kind of job says of itself. name, table: of the job, and of the rows that are held.

    find: the row, locked, and its job; None where it is gone, or its job over. may_begin: whether there is room for it,
    by the clock of leases. written: what is kept with the claim; at: the wall clock's time. begin: write down that it
    began, and give what there is to work on; again: a worker was lost with it. lost: why it is not tried once more.
    """

    name: Job
    table: Leased

    def find(self, connection: Connection, row_id: str) -> Found[J] | None: ...
    def may_begin(self, connection: Connection, found: Found[J], cores: int, now: float) -> bool: ...
    def written(self, cores: int, at: float) -> dict[str, Any]: ...
    def begin(self, connection: Connection, found: Found[J], fence: Fence, again: bool, at: float) -> C_co: ...
    def lost(self, losses: int) -> dict[str, str]: ...


def claim(
    connection: Connection, kind: Kind[J, C], row_id: str, by: Claimant, now: float, at: float | None = None
) -> C | None:
    """Take the row if it waits, or if its worker's lease ran out; None if there is nothing to do.

    now: by the clock of leases. at: the wall clock's time, for the job's story; None: the same.

    A row that lost so many workers fails its job instead of taking another one down.
    """
    at = now if at is None else at
    found = kind.find(connection, row_id)
    free = None if found is None else leases.free(found.row, now)
    if found is None or free is None:
        return None
    if free.losses >= by.attempts:
        ending.fail(connection, kind.name, found.job_id, "lost", [kind.lost(free.losses)], at)
        return None
    if not free.lost and not kind.may_begin(connection, found, by.cores, now):
        return None
    written = kind.written(by.cores, at)
    fence = leases.take(connection, kind.table, row_id, free, by.name, now, by.lease, **written)
    return kind.begin(connection, found, fence, free.lost, at)


def standing(connection: Connection, mine: Claim) -> tuple[bool, bool]:
    """Whether the row is still mine, and whether somebody asked to stop its job."""
    asked = {"row": mine.fence.row_id, "attempt": mine.fence.attempt}
    row = connection.execute(_STANDING[mine.fence.table], asked).one_or_none()
    return (False, False) if row is None else (True, bool(row.stop_requested))


def let_go(connection: Connection, mine: Claim) -> bool:
    """Hold the row no longer, its job locked before it; False if it was not mine any more."""
    ending.lock(connection, mine.job, mine.job_id)
    return leases.let_go(connection, mine.fence)


def fail(connection: Connection, mine: Claim, because: str, problems: list[dict[str, str]], now: float) -> bool:
    """Record why nothing came of the job; what a study's other parts said stays. False if the row is no longer mine."""
    held = let_go(connection, mine)
    if held:
        ending.fail(connection, mine.job, mine.job_id, because, problems, now)
    return held


def hand_back(connection: Connection, mine: Claim, **values: Any) -> bool:
    """Give the row back to the queue, with `values` kept in it and without counting an attempt; False if it is no
    longer mine."""
    ending.lock(connection, mine.job, mine.job_id)
    return leases.hand_back(connection, mine.fence, **values)

"""What a maker's stop or cancel asks of a job, a plan or a study: once, and only of one that is not over."""

from sqlalchemy import Connection, select, update

from worker.records import events
from worker.records.events import Job
from worker.records.statuses import OPEN
from worker.records.tables import Plan, Study

_TABLES: dict[Job, type[Plan] | type[Study]] = {"plan": Plan, "study": Study}


class AlreadyFinished(Exception):
    """The job is neither waiting nor being worked on."""


def stop_asked(connection: Connection, job: Job, job_id: str, now: float) -> bool:
    """Write down that the job is to stop; False where somebody asked before. Raises AlreadyFinished.

    The job stays locked until the transaction ends.
    """
    table = _TABLES[job]
    status, asked = _locked(connection, job, job_id)
    if status not in OPEN:
        raise AlreadyFinished
    if asked:
        return False
    edition = {"edition": Plan.edition + 1} if job == "plan" else {}
    connection.execute(update(table).where(table.id == job_id).values(stop_requested=True, **edition))
    events.append(connection, job, job_id, "stop-requested", {}, now)
    return True


def to_be_cancelled(connection: Connection, job: Job, job_id: str) -> bool:
    """Whether the job is there to be cancelled; False where it is already. Raises AlreadyFinished where it ended
    otherwise. The job stays locked until the transaction ends."""
    status, _ = _locked(connection, job, job_id)
    if status in OPEN:
        return True
    if status == "cancelled":
        return False
    raise AlreadyFinished


def _locked(connection: Connection, job: Job, job_id: str) -> tuple[str | None, bool]:
    table = _TABLES[job]
    query = select(table.status, table.stop_requested).where(table.id == job_id).with_for_update()
    row = connection.execute(query).one_or_none()
    return (None, False) if row is None else (row.status, row.stop_requested)

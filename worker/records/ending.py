"""How a job, a plan or a study, comes to its end; and what a maker's stop or cancel asks of one that is not over."""

import json
from typing import Any

from sqlalchemy import Connection, select, update

from worker.records import counters, events, study_parts, webhook_outbox
from worker.records.events import Job
from worker.records.statuses import OPEN
from worker.records.tables import Plan, Study

_TABLES: dict[Job, type[Plan] | type[Study]] = {"plan": Plan, "study": Study}


class AlreadyFinished(Exception):
    """The job is neither waiting nor being worked on."""


def request_stop(connection: Connection, job: Job, job_id: str, now: float) -> None:
    """Ask for no more than what is there: a plan keeps the best it has, a study puts together what its parts said.
    Asking twice is asking once. Raises AlreadyFinished."""
    table = _TABLES[job]
    status, asked = lock(connection, job, job_id)
    if status not in OPEN:
        raise AlreadyFinished
    if asked:
        return
    edition = {"edition": Plan.edition + 1} if job == "plan" else {}
    connection.execute(update(table).where(table.id == job_id).values(stop_requested=True, **edition))
    events.append(connection, job, job_id, "stop-requested", {}, now)
    if job == "study":
        study_parts.drop_not_begun(connection, job_id)


def cancel(connection: Connection, job: Job, job_id: str, now: float) -> None:
    """End the job at once; whoever works on it will find out and drop its work, what was said stays. Cancelling twice
    is cancelling once. Raises AlreadyFinished where it ended otherwise."""
    status, _ = lock(connection, job, job_id)
    if status == "cancelled":
        return
    if status not in OPEN:
        raise AlreadyFinished
    end(connection, job, job_id, "cancelled", "cancelled", {}, now)


def fail(
    connection: Connection, job: Job, job_id: str, because: str, problems: list[dict[str, str]], now: float
) -> None:
    """End the job without a result. because: infeasible, broken-rules, stopped, overran, lost, fault ..."""
    said = {"problems": problems}
    end(connection, job, job_id, "failed", because, said, now, failure=json.dumps(problems))


def end(
    connection: Connection, job: Job, job_id: str, status: str, because: str, more: dict[str, Any], now: float,
    **values: Any,
) -> None:  # fmt: skip
    """Close the job, with `values` written into its row; its last event says because, and `more`.

    What a study has not begun is dropped. A plan's end is counted, and its workshop's webhooks are told.
    """
    table = _TABLES[job]
    if job == "plan":
        values |= {"phase": None, "lease_until": None, "edition": Plan.edition + 1}
    connection.execute(
        update(table).where(table.id == job_id).values(status=status, ended_because=because, finished_at=now, **values)
    )
    said = {"because": because} | more
    events.append(connection, job, job_id, status, said, now)
    if job == "plan":
        counters.add(connection, counters.ENDED, because)
        webhook_outbox.announce(connection, job_id, status, said, now)
    else:
        study_parts.drop_open(connection, job_id)


def lock(connection: Connection, job: Job, job_id: str) -> tuple[str | None, bool]:
    """Where the job stands (None: there is none), and whether somebody asked to stop it: locked until the transaction
    ends. Whoever changes a job, or a part of one, does this first."""
    table = _TABLES[job]
    query = select(table.status, table.stop_requested).where(table.id == job_id).with_for_update()
    row = connection.execute(query).one_or_none()
    return (None, False) if row is None else (row.status, row.stop_requested)

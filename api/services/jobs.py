"""What a plan and a study have in common while they are worked on: stopped, cancelled, watched."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Generic, TypeVar

from sqlalchemy import Connection

from api.service import Service
from api.service.refusals import Conflict
from api.services.finding import find_plan, find_study
from api.services.once import Answer, Once
from worker.records import ending, events
from worker.records.events import EventRow
from worker.records.reading import PlanRow
from worker.records.studies import StudyRow

Row = TypeVar("Row", PlanRow, StudyRow)
Ending = Callable[[Connection, events.Job, str, float], None]


@dataclass(frozen=True)
class Kind(Generic[Row]):
    """A kind of job. find: one of the workshop's, or NotFound."""

    name: events.Job
    find: Callable[[Connection, str, str], Row]


PLAN = Kind[PlanRow]("plan", find_plan)
STUDY = Kind[StudyRow]("study", find_study)


def as_seen(_row: object) -> None:
    """For whoever need not have seen a job to change it."""


def stop(
    service: Service, once: Once[Row], kind: Kind[Row], job_id: str, seen: Callable[[Row], None] = as_seen
) -> Answer:
    """No more is begun, and what is there is kept. seen: raises where the caller saw another state of it.

    Raises NotFound, and Conflict where the job is over.
    """
    return _ended(service, once, kind, job_id, ending.request_stop, seen)


def cancel(
    service: Service, once: Once[Row], kind: Kind[Row], job_id: str, seen: Callable[[Row], None] = as_seen
) -> Answer:
    """Ends at once, without a result; what was said so far stays. Raises as `stop` does."""
    return _ended(service, once, kind, job_id, ending.cancel, seen)


def _ended(
    service: Service, once: Once[Row], kind: Kind[Row], job_id: str, change: Ending, seen: Callable[[Row], None]
) -> Answer:
    def act(connection: Connection, now: float) -> Row:
        row = kind.find(connection, once.workshop_id, job_id)
        seen(row)
        try:
            change(connection, kind.name, job_id, now)
        except ending.AlreadyFinished:
            raise Conflict(f"The {kind.name} is {row.status} already.") from None
        return kind.find(connection, once.workshop_id, job_id)

    answer = once.carried_out(service, act)
    service.sender.nudge()
    return answer


def standing(service: Service, workshop_id: str, kind: Kind[Row], job_id: str) -> Row:
    """Where it stands. Raises NotFound."""
    with service.database.read() as connection:
        return kind.find(connection, workshop_id, job_id)


def said_after(service: Service, kind: Kind[Row], job_id: str, number: int) -> list[EventRow]:
    """The events that follow that number, oldest first. The caller has found the job to be the workshop's."""
    with service.database.read() as connection:
        return events.after(connection, kind.name, job_id, number)

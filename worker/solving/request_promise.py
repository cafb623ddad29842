"""Every plan is followed on replications as soon as it is made, so that whoever opens it sees how sure it is."""

import logging

from sqlalchemy import Connection, select

from planner.studies import promise
from planner.studies.parts import Subject
from worker.records import studies
from worker.records.plan_claims import PlanClaim
from worker.records.studies import Question
from worker.records.submitting import TooManyBytes, TooManyOpenPlans
from worker.records.tables import Plan

log = logging.getLogger(__name__)


def ask_how_sure(connection: Connection, mine: PlanClaim, now: float) -> None:
    """Write the standing promise question down, to be answered like any other; a full quota leaves it unasked."""
    queue = connection.execute(select(Plan.queue).where(Plan.id == mine.job_id)).scalar_one()
    question = promise.STANDING
    wanted = Question(mine.job_id, mine.revision, "promise", question, queue, mine.request_id)
    try:
        studies.submit(connection, mine.workshop_id, wanted, promise.split(Subject(mine.document, ""), question), now)
    except (TooManyOpenPlans, TooManyBytes) as error:
        log.info("not simulated: %s", error, extra={"plan": mine.job_id})

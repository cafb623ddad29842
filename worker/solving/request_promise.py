"""Every plan is followed on replications as soon as it is made, so that whoever opens it sees how sure it is."""

import json
import logging

from sqlalchemy import Connection, select

from planner.studies import promise
from planner.studies.parts import Subject
from worker.records import studies
from worker.records.plan_claims import PlanClaim
from worker.records.studies import Question
from worker.records.submitting import TooManyBytes, TooManyOpenPlans
from worker.records.tables import Plan

LOOKED_AT = 100
"""Promises of a plan, the newest first."""
log = logging.getLogger(__name__)


def ask_how_sure(connection: Connection, mine: PlanClaim, now: float) -> None:
    """Write the standing promise question down, to be answered like any other; a full quota leaves it unasked.

    Its chance is the one picked last for the plan's revision before, else for the plan it was made from."""
    queue, parent = connection.execute(select(Plan.queue, Plan.parent_id).where(Plan.id == mine.job_id)).one()
    picked = next((chance for plan in (mine.job_id, parent) if (chance := _picked(connection, mine, plan))), None)
    question = promise.STANDING | ({} if picked is None else {"confidence": picked})
    wanted = Question(mine.job_id, mine.revision, "promise", question, queue, mine.request_id)
    try:
        studies.submit(connection, mine.workshop_id, wanted, promise.split(Subject(mine.document, ""), question), now)
    except (TooManyOpenPlans, TooManyBytes) as error:
        log.info("not simulated: %s", error, extra={"plan": mine.job_id})


def _picked(connection: Connection, mine: PlanClaim, plan_id: str | None) -> float | None:
    """The chance that the days of that plan are asked for, as picked last."""
    if plan_id is None:
        return None
    asked = studies.page(connection, mine.workshop_id, plan_id, LOOKED_AT, kind="promise")
    return next((chance for row in asked if (chance := promise.chance_asked(json.loads(row.question)))), None)

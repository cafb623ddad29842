"""Plans put straight into the records, so that tests of pages and pictures need no planning."""

import json
import time

from sqlalchemy import insert, select, update

from api.service import Service
from planner.campaign import Campaign
from planner.plan import RunPlan
from planner.promise.document import Promise
from planner.studies.parts import Subject
from planner.studies.promise import STANDING, split
from tests.support.pot_campaign import pot_campaign
from tests.support.pot_plan import pot_plan
from worker.records import studies, submitting
from worker.records.studies import Question
from worker.records.submitting import Submission
from worker.records.tables import Plan, Revision, Study


def waiting(service: Service, document: str, title: str = "pots") -> str:
    """A plan that waits for its turn; gives its id."""
    assert service.local_workshop is not None
    with service.database.write() as connection:
        return submitting.submit(
            connection, service.local_workshop, Submission(document, title, 20, "small"), time.time()
        ).id


def publish(service: Service, campaign: Campaign, plan: RunPlan) -> str:
    """A finished plan of that campaign; gives its id."""
    plan_id = waiting(service, campaign.model_dump_json(by_alias=True), plan.name)
    finish(service, plan_id, plan)
    return plan_id


def finish(service: Service, plan_id: str, plan: RunPlan) -> None:
    """The plan that waits becomes that one."""
    outcome = plan.outcome
    known = {"cost": outcome.total, "bound": outcome.lower_bound, "gap": outcome.gap, "ended_because": "proven"}
    with service.database.write() as connection:
        campaign_id = connection.execute(select(Plan.campaign_id).where(Plan.id == plan_id)).scalar_one()
        connection.execute(
            insert(Revision).values(
                plan_id=plan_id, number=1, campaign_id=campaign_id, document=plan.model_dump_json(by_alias=True),
                solve_seconds=1.0, made_at=time.time(), **known,
            )
        )  # fmt: skip
        connection.execute(update(Plan).where(Plan.id == plan_id).values(status="done", **known))


def failed(service: Service, document: str, problem: dict[str, str], title: str = "no way") -> str:
    """A plan that could not be made, and why; gives its id."""
    plan_id = waiting(service, document, title)
    with service.database.write() as connection:
        connection.execute(
            update(Plan)
            .where(Plan.id == plan_id)
            .values(status="failed", ended_because="infeasible", failure=json.dumps([problem]))
        )
    return plan_id


def publish_pots(service: Service) -> str:
    """The hand-worked plan of the pot workshop."""
    return publish(service, pot_campaign(), pot_plan())


def roomy_pots() -> Campaign:
    """The pot workshop where more of everything can be bought, so that it can change."""
    document = pot_campaign().model_dump(mode="json", by_alias=True, exclude_unset=True)
    for colour in document["colours"].values():
        colour["lead_days"] = 2
    document["pieces"]["carton"]["lead_days"] = 2
    return Campaign.model_validate(document)


def simulate(service: Service, plan_id: str, promise: Promise | None) -> str:
    """The standing question of a plan, answered with that promise, or (None) not yet; gives the study's id."""
    assert service.local_workshop is not None
    with service.database.write() as connection:
        wanted = Question(plan_id, 1, "promise", STANDING, "small")
        study_id = studies.submit(connection, service.local_workshop, wanted, split(Subject("", ""), STANDING), 0.0)
        if promise is not None:
            done = {"status": "done", "result": promise.model_dump_json()}
            connection.execute(update(Study).where(Study.id == study_id).values(**done))
    return study_id

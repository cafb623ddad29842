"""A plan as a job: claimed, planned from its campaign, published or handed back."""

import json
import logging
import time
from collections.abc import Callable

from sqlalchemy import Connection

from planner.campaign import Campaign
from planner.campaign.order_of_work import OrderOfWork
from planner.control import Control
from planner.errors import Problem
from planner.plan import RunPlan
from planner.plan.order_of_work import order_of
from planner.planning.verdict import left_out
from worker.leaving import STAYING, Leaving
from worker.records import claiming
from worker.records.claiming import Claim, Published
from worker.records.database import Database
from worker.settings import Settings
from worker.solving.control import WatchedControl
from worker.solving.failures import Wording
from worker.solving.job import Job, work
from worker.solving.request_promise import ask_how_sure

log = logging.getLogger(__name__)

Planner = Callable[[Campaign, Control], RunPlan]

WORDING = Wording(
    overran=Problem(
        "",
        "planning did not end long after its time budget and was ended by force",
        "plan a smaller campaign, or give `planning.seconds` more time",
    ),
    stopped=Problem("", "stopped before a first plan was found", "give it more time"),
    too_large=Problem(
        "",
        "the campaign needs more memory than one plan may use",
        "plan fewer colourways or orders at a time",
    ),
    fault=Problem(
        "",
        "the planner failed; this is our fault, not the campaign's",
        "try again; if it happens again, tell us with this plan's id",
    ),
)


def work_on_plan(
    database: Database,
    settings: Settings,
    plan_id: str,
    worker: str,
    planner: Planner,
    leaving: Leaving = STAYING,
) -> None:
    """Claim the plan and bring it to its end. Does nothing if there is nothing to claim.

    Raises Overran, after failing the plan, when the planner has to be ended by force.
    """
    with database.write() as connection:
        beat = database.lease_clock.now(connection)
        mine = claiming.claim(
            connection, plan_id, worker, beat, settings.lease, settings.attempts, settings.cores, time.time()
        )
    if mine is None:
        return
    log.info("planning", extra={"plan": plan_id, "attempt": mine.attempt, "request": mine.request_id})
    work(database, settings, job_of(mine, settings, planner), leaving)


def job_of(mine: Claim, settings: Settings, planner: Planner) -> Job[RunPlan]:
    """The claimed plan as a job."""
    control = WatchedControl(mine.budget, settings.cores)
    return Job(
        name=f"plan-{mine.plan_id}",
        about={"plan": mine.plan_id},
        fence=mine.fence,
        control=control,
        wording=WORDING,
        think=lambda: _think(mine, control, planner),
        standing=lambda connection: claiming.standing(connection, mine),
        keep=lambda connection, plan, seconds: _publish(connection, mine, plan, seconds, control.waited()),
        fail=lambda connection, because, problems: claiming.fail(connection, mine, because, problems, time.time()),
        hand_back=lambda connection, plan, seconds: claiming.hand_back(
            connection, mine, None if plan is None else order_of(plan).model_dump_json(), seconds, time.time()
        ),
        tell=lambda connection, progress: claiming.note_progress(connection, mine, progress, time.time()),
    )


def _think(mine: Claim, control: WatchedControl, planner: Planner) -> RunPlan:
    control.begin()
    campaign = Campaign.model_validate_json(mine.document)
    planning = campaign.planning
    if planning.rounds is not None:
        control.leave_to_rounds()  # and from the beginning, so that the plan is the same on any machine
    elif mine.so_far is not None and planning.told is None:
        so_far = OrderOfWork.model_validate(json.loads(mine.so_far))
        campaign = campaign.model_copy(update={"planning": planning.model_copy(update={"begin_from": so_far})})
    plan = planner(campaign, control)
    control.waited()  # while the thread lives
    return plan


def _publish(connection: Connection, mine: Claim, plan: RunPlan, seconds: float, waited: float) -> bool:
    now = time.time()
    published = claiming.publish(connection, mine, _published(plan, mine.worked + seconds, waited), now)
    if published:
        try:
            with connection.begin_nested():
                ask_how_sure(connection, mine, now)
        except Exception:  # the plan is there, how sure it is can be asked again
            log.exception("fault in asking how sure a plan is", extra={"plan": mine.plan_id})
    if wrong := left_out(plan):
        log.error("fault in a part of a plan", extra={"plan": mine.plan_id, "of": wrong.about, "said": wrong.text})
    return published


def _published(plan: RunPlan, seconds: float, waited: float) -> Published:
    return Published(
        document=plan.model_dump_json(by_alias=True),
        cost=plan.outcome.total,
        bound=plan.outcome.lower_bound,
        gap=plan.outcome.avoidable_gap,
        ended_because=plan.outcome.ended.replace(" ", "-"),
        solve_seconds=round(seconds, 3),
        waited_seconds=round(waited, 3),
    )

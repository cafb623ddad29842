"""A plan as a job: claimed, planned from its campaign, published or handed back."""

import logging
import time
from typing import Any, Protocol, Self

from pydantic import BaseModel, model_validator
from sqlalchemy import Connection

from planner.campaign import Campaign
from planner.campaign.order_of_work import OrderOfWork
from planner.control import Control
from planner.errors import Problem
from planner.plan import RunPlan
from planner.plan.order_of_work import order_of
from planner.planning.proven_before import ProvenBefore, proven_by, with_proven
from planner.planning.verdict import left_out
from planner.reading import kept
from worker.records import plan_claims
from worker.records.plan_claims import PLANS, PlanClaim, Published
from worker.settings import Settings
from worker.solving.control import WatchedControl
from worker.solving.failures import Wording
from worker.solving.job import Hands, Job, work_on
from worker.solving.request_promise import ask_how_sure

log = logging.getLogger(__name__)


class Planner(Protocol):
    """What turns a campaign into its plan. before: what was proven of it by one who did not come to the end."""

    def __call__(self, campaign: Campaign, control: Control, before: ProvenBefore | None = None, /) -> RunPlan: ...


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


class SoFar(BaseModel):
    """What the records keep of a plan that was handed back, for the next worker: the order of work of the best plan so
    far, and what was proven that no plan undercuts."""

    order: OrderOfWork
    proven: ProvenBefore | None = None

    @classmethod
    def of(cls, plan: RunPlan) -> Self:
        return cls(order=order_of(plan), proven=proven_by(plan))

    @model_validator(mode="before")
    @classmethod
    def _only_an_order(cls, kept: Any) -> Any:
        """As it was kept before bounds were kept with it."""
        return {"order": kept} if isinstance(kept, dict) and "order" not in kept else kept


def work_on_plan(hands: Hands, plan_id: str, planner: Planner) -> None:
    """Claim the plan and bring it to its end; see `work_on`."""
    work_on(hands, PLANS, plan_id, lambda mine: job_of(mine, hands.settings, planner))


def job_of(mine: PlanClaim, settings: Settings, planner: Planner) -> Job[RunPlan]:
    """The claimed plan as a job."""
    control = WatchedControl(mine.budget, settings.cores)
    return Job(
        mine,
        control,
        WORDING,
        think=lambda: _think(mine, control, planner),
        keep=lambda connection, plan, seconds: _publish(connection, mine, plan, seconds, control.waited()),
        hand_back=lambda connection, plan, seconds: plan_claims.hand_back(
            connection, mine, None if plan is None else SoFar.of(plan).model_dump_json(), seconds, time.time()
        ),
        tell=lambda connection, progress: plan_claims.note_progress(connection, mine, progress, time.time()),
    )


def _think(mine: PlanClaim, control: WatchedControl, planner: Planner) -> RunPlan:
    control.begin()
    campaign = kept(mine.document)
    planning = campaign.planning
    so_far: SoFar | None = None
    if planning.rounds is not None:
        control.leave_to_rounds()  # and from the beginning, so that the plan is the same on any machine
    elif mine.so_far is not None and planning.told is None:
        so_far = SoFar.model_validate_json(mine.so_far)
        begun = planning.model_copy(update={"begin_from": so_far.order})
        campaign = campaign.model_copy(update={"planning": begun})
    if so_far is None or so_far.proven is None:
        plan = planner(campaign, control)
    else:
        plan = with_proven(campaign, planner(campaign, control, so_far.proven), so_far.proven)
    control.waited()  # while the thread lives
    return plan


def _publish(connection: Connection, mine: PlanClaim, plan: RunPlan, seconds: float, waited: float) -> bool:
    now = time.time()
    published = plan_claims.publish(connection, mine, _published(plan, mine.worked + seconds, waited), now)
    if published:
        try:
            with connection.begin_nested():
                ask_how_sure(connection, mine, now)
        except Exception:  # the plan is there, how sure it is can be asked again
            log.exception("fault in asking how sure a plan is", extra={"plan": mine.job_id})
    if wrong := left_out(plan):
        log.error("fault in a part of a plan", extra={"plan": mine.job_id, "of": wrong.about, "said": wrong.text})
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

"""/v1/plans/{id}/purge-log: what the workshop's log does to a plan, and planning anew with it."""

from functools import partial
from typing import Annotated

from fastapi import APIRouter, Header, Response
from pydantic import Field

from api.http.access import REFUSALS, Reader
from api.http.problems import answers
from api.plans import editions
from api.plans.parameters import PlanId
from api.plans.queued import PlanAsked
from api.plans.responses import accepted
from api.plans.schemas import PlanState
from api.purge.schemas import PurgeAnswer
from api.service import TheService
from api.service.refusals import BadRequest, Changed, Conflict, Invalid, NotFound, PreconditionRequired
from api.services import plans, workshop_log
from api.services.once import Answer
from planner.campaign.unknown_melts import UNKNOWN
from planner.plan import RunPlan
from planner.plan.document import BarrelFactor, LogSetAside
from planner.plan.purging import factors, kg_moved, logged_figures, set_aside

router = APIRouter(prefix="/v1/plans", tags=["purge"], responses=answers(*REFUSALS))


class PlanLog(PurgeAnswer):
    """How a plan's purge moves with the workshop's log. The same runs in the same order; nothing is planned anew."""

    kg_without_log: float = Field(description="the plan's barrel purges, had nothing been logged")
    kg_as_planned: float
    kg_with_workshop_log: float = Field(description="the same purges by the grown log")
    in_campaign: int = Field(description="log entries the plan was made with")
    new: int = Field(description="entries of the workshop's log that would join")
    not_of_this_campaign: int = Field(description="entries that name presses, tools or melts it doesn't have")
    barrels: list[BarrelFactor] = Field(description="by the grown log")
    set_aside: list[LogSetAside] = Field(description="kept and not counted; `entry` counts the campaign's first")


@router.get(
    "/{plan_id}/purge-log",
    response_model=PlanLog,
    summary="How the purge log moves a plan",
    responses=answers(NotFound, Conflict, Invalid),
)
def read_plan_log(plan_id: PlanId, service: TheService, caller: Reader) -> PlanLog:
    """The plan's barrel purges without a log, as planned, and with what the workshop has logged since."""
    row, newest = plans.with_newest(service, caller.workshop_id, plan_id)
    if row.status != "done" or newest is None:
        raise Conflict(f"The plan is {row.status}; there is no run plan of its newest campaign.")
    _, more = workshop_log.grown_of(service, caller.workshop_id, plan_id)
    runs, campaign = RunPlan.model_validate_json(newest[1]).runs, more.campaign
    held = {barrel.holds for press in campaign.presses.values() for barrel in press.barrels if barrel.holds}
    left = {purge.from_ for run in runs if run.changeover for purge in run.changeover.purges} - {UNKNOWN}
    melts = sorted({melt for run in runs for melt in run.melts} | held | left)
    planned = logged_figures(campaign, melts, campaign.purging.log)
    after = logged_figures(campaign, melts, more.log)
    without, as_planned = kg_moved(campaign, logged_figures(campaign, melts, []), planned, runs)
    return PlanLog(
        kg_without_log=round(without, 3),
        kg_as_planned=round(as_planned, 3),
        kg_with_workshop_log=round(kg_moved(campaign, planned, after, runs)[1], 3),
        in_campaign=len(campaign.purging.log),
        new=len(more.new),
        not_of_this_campaign=more.foreign,
        barrels=list(factors(after)),
        set_aside=list(set_aside(after, more.log)),
    )


@router.post(
    "/{plan_id}/purge-log",
    status_code=202,
    response_model=PlanState,
    summary="Plan anew with the workshop's purge log",
    responses=answers(NotFound, Conflict, Changed, PreconditionRequired, Invalid, BadRequest),
)
async def plan_with_log(
    asked: PlanAsked,
    if_match: Annotated[str | None, Header(description="the plan's ETag as you last saw it")] = None,
) -> Response:
    """Adds the workshop's new entries to the campaign's log and queues the plan's next revision. Needs If-Match."""

    def act() -> Answer:
        return workshop_log.plan_with_log(
            asked.service, asked.once(b"", accepted), asked.plan_id, partial(editions.check, if_match, needed=True)
        )

    return await asked.answered(act)

"""/v1/plans/{id}/purge-log: what the workshop's log does to a plan, and planning anew with it."""

import json
import time
from collections import Counter
from dataclasses import dataclass
from typing import Annotated

from anyio import to_thread
from fastapi import APIRouter, Header, Request, Response
from pydantic import Field

from api.access import REFUSALS, Reader, Submitter
from api.idempotency import IdempotencyKey, once
from api.plans import editions
from api.plans.answers import state_response
from api.plans.campaigns import read_campaign
from api.plans.finding import PlanId, find_plan
from api.plans.schemas import PlanState
from api.problems import BadRequest, Changed, Conflict, Invalid, NotFound, PreconditionRequired, answers
from api.purge.schemas import Answer
from api.purge.stored_log import Kept, logged_in
from api.service import Service, TheService
from planner.campaign import Campaign
from planner.campaign.fit import shot_mass_g
from planner.campaign.purging import PurgeLogged
from planner.plan import RunPlan
from planner.plan.document import BarrelFactor, LogSetAside
from planner.plan.purging import factors, kg_moved, logged_figures, set_aside
from worker.records import changing, reading

router = APIRouter(prefix="/v1/plans", tags=["purge"], responses=answers(*REFUSALS))


class PlanLog(Answer):
    """How a plan's purge moves with the workshop's log. The same runs in the same order; nothing is planned anew."""

    kg_without_log: float = Field(description="the plan's barrel purges, had nothing been logged")
    kg_as_planned: float
    kg_with_workshop_log: float = Field(description="the same purges by the grown log")
    in_campaign: int = Field(description="log entries the plan was made with")
    new: int = Field(description="entries of the workshop's log that would join")
    not_of_this_campaign: int = Field(description="entries that name presses, tools or melts it doesn't have")
    barrels: list[BarrelFactor] = Field(description="by the grown log")
    set_aside: list[LogSetAside] = Field(description="kept and not counted; `entry` counts the campaign's first")


@dataclass(frozen=True)
class Grown:
    """A campaign's log and what the workshop's adds to it."""

    campaign: Campaign
    new: list[PurgeLogged]
    foreign: int

    @property
    def log(self) -> list[PurgeLogged]:
        return [*self.campaign.purging.log, *self.new]


@router.get(
    "/{plan_id}/purge-log",
    response_model=PlanLog,
    summary="How the purge log moves a plan",
    responses=answers(NotFound, Conflict, Invalid),
)
def read_plan_log(plan_id: PlanId, service: TheService, caller: Reader) -> PlanLog:
    """The plan's barrel purges without a log, as planned, and with what the workshop has logged since."""
    with service.database.read() as connection:
        row = find_plan(connection, caller.workshop_id, plan_id)
        newest = reading.newest_document(connection, plan_id)
    if row.status != "done" or newest is None:
        raise Conflict(f"The plan is {row.status}; there is no run plan of its newest campaign.")
    grown = _grown(service, caller.workshop_id, plan_id)
    runs, campaign = RunPlan.model_validate_json(newest[1]).runs, grown.campaign
    held = {barrel.holds for press in campaign.presses.values() for barrel in press.barrels if barrel.holds}
    melts = sorted({melt for run in runs for melt in run.melts} | held)
    planned = logged_figures(campaign, melts, campaign.purging.log)
    after = logged_figures(campaign, melts, grown.log)
    without, as_planned = kg_moved(logged_figures(campaign, melts, []), planned, runs)
    return PlanLog(
        kg_without_log=round(without, 3),
        kg_as_planned=round(as_planned, 3),
        kg_with_workshop_log=round(kg_moved(planned, after, runs)[1], 3),
        in_campaign=len(campaign.purging.log),
        new=len(grown.new),
        not_of_this_campaign=grown.foreign,
        barrels=list(factors(after)),
        set_aside=list(set_aside(after, grown.log)),
    )


@router.post(
    "/{plan_id}/purge-log",
    status_code=202,
    response_model=PlanState,
    summary="Plan anew with the workshop's purge log",
    responses=answers(NotFound, Conflict, Changed, PreconditionRequired, Invalid, BadRequest),
)
async def plan_with_log(
    plan_id: PlanId,
    request: Request,
    service: TheService,
    caller: Submitter,
    if_match: Annotated[str | None, Header(description="the plan's ETag as you last saw it")] = None,
    idempotency_key: IdempotencyKey = None,
) -> Response:
    """Adds the workshop's new entries to the campaign's log and queues the plan's next revision. Needs If-Match."""

    def record() -> Response:
        now = time.time()
        grown = _grown(service, caller.workshop_id, plan_id)
        with service.database.write() as connection:

            def act() -> Response:
                row = find_plan(connection, caller.workshop_id, plan_id)
                editions.check(if_match, row, needed=True)
                if not grown.new:
                    raise Conflict("The workshop's log holds nothing this plan was not made with.")
                parsed = json.loads(reading.campaign_document(connection, caller.workshop_id, plan_id) or "{}")
                entries = [json.loads(entry.model_dump_json(by_alias=True, exclude_unset=True)) for entry in grown.new]
                purging = parsed.setdefault("purging", {})
                purging["log"] = [*purging.get("log", []), *entries]
                read = read_campaign(json.dumps(parsed).encode(), parsed, service.settings.largest_budget)
                try:
                    changing.plan_anew(
                        connection, caller.workshop_id, plan_id, read.document, read.budget, read.queue, now
                    )
                except changing.StillOpen:
                    raise Conflict(f"The plan is {row.status}; stop or cancel it first.") from None
                queued = find_plan(connection, caller.workshop_id, plan_id)
                return state_response(queued, 202, {"Location": f"/v1/plans/{plan_id}", "Retry-After": "1"})

            return once(connection, caller.workshop_id, idempotency_key, (request.url.path, b""), now, act)

    accepted = await to_thread.run_sync(record)
    service.sender.nudge()
    return accepted


def _grown(service: Service, workshop_id: str, plan_id: str) -> Grown:
    with service.database.read() as connection:
        document = reading.campaign_document(connection, workshop_id, plan_id)
    if document is None:
        raise NotFound("This workshop has no such plan.")
    campaign = Campaign.model_validate_json(document)
    known = Counter(_same(entry) for entry in campaign.purging.log)
    new, foreign = [], 0
    for kept in logged_in(service, workshop_id):
        if not _fits(campaign, kept):
            foreign += 1
        elif known[_same(kept.entry)] > 0:
            known[_same(kept.entry)] -= 1
        else:
            new.append(kept.entry)
    return Grown(campaign, new, foreign)


def _same(entry: PurgeLogged) -> str:
    return entry.model_dump_json(by_alias=True)


def _fits(campaign: Campaign, kept: Kept) -> bool:
    """Whether the campaign's cross-checks would take the entry."""
    entry = kept.entry
    if entry.tool is not None and (
        entry.tool not in campaign.tools or entry.barrel > len(shot_mass_g(campaign, campaign.tools[entry.tool]))
    ):
        return False
    melts = [melt.split("/") for melt in (entry.from_, entry.to)]
    return (
        entry.press in campaign.presses
        and entry.barrel <= len(campaign.presses[entry.press].barrels)
        and all(resin in campaign.resins and colour in campaign.colours for resin, colour in melts)
    )

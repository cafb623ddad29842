"""POST /v1/plans/{id}/plan-again: from where the floor stands; what changed; what was learned."""

import json
from datetime import datetime
from typing import Any

from fastapi import APIRouter, Response
from pydantic import BaseModel, Field
from sqlalchemy import Connection

from api.actuals.entries import log_of
from api.http.access import REFUSALS, Reader
from api.http.bodies import BODY_REFUSALS, fitting, json_body
from api.http.problems import Conflict, Invalid, InvalidCampaign, NotFound, TooMany, answers
from api.plans.parameters import PlanId
from api.plans.queued import PlanAsked
from api.plans.schemas import PlanState, state
from api.service import TheService
from api.services.campaign_documents import read_campaign
from api.services.finding import find_plan
from api.services.made_plans import made_plan
from api.services.submitting import submitted
from planner.actuals.changes import Changes, what_changed
from planner.actuals.entries import Actuals, AnyEntry
from planner.actuals.learned import Learned, learn
from planner.actuals.remaining_campaign import Now, from_here
from planner.campaign import Campaign
from planner.campaign.base import WallClock
from planner.campaign.order_of_work import Told
from planner.errors import CampaignProblems
from planner.reading import read
from planner.slips.patches import json_patched
from worker.records import reading

router = APIRouter(prefix="/v1/plans", tags=["the floor"], responses=answers(*REFUSALS))


class AgainWish(BaseModel):
    """From when to plan again, and what it may cost to move what people were told."""

    model_config = {"extra": "forbid"}
    as_of: WallClock = Field(description="wall-clock moment in the campaign's zone; later entries are left out")
    title: str = Field(default="", max_length=200, description="none: the plan's title and the moment")
    told: Told | None = Field(default=None, description="none: nothing is held to what people were told")
    patch: list[dict[str, Any]] = Field(
        default=[],
        max_length=200,
        description="JSON Patch (RFC 6902) to the campaign first, e.g. the patches of lessons that are taken over",
    )


class Again(BaseModel):
    """The plan that was queued, and what was taken for granted because the log did not say."""

    plan: PlanState
    taken_for_granted: list[str]


class Lessons(BaseModel):
    """What the log teaches: offered, not applied. A lesson's `patch` is a JSON Patch to be sent as a variant, or with
    `plan-again`."""

    learned: list[Learned]


@router.post(
    "/{plan_id}/plan-again",
    status_code=202,
    response_model=Again,
    summary="Plan again from where the floor stands",
    openapi_extra=json_body(AgainWish),
    responses=answers(NotFound, Conflict, InvalidCampaign, TooMany, *BODY_REFUSALS),
)
async def plan_again(asked: PlanAsked) -> Response:
    """Queues a child of this plan: the campaign as it stands by the log, begun runs and pinned runs first, searched
    from this plan's order of work on. Its `changes` say what moved and why."""
    service, plan_id, workshop_id = asked.service, asked.plan_id, asked.workshop_id
    body, parsed = await asked.json()
    wish = await fitting(AgainWish, parsed)

    def record() -> Response:
        with service.database.read() as connection:
            made = made_plan(connection, workshop_id, plan_id)
            entries = [e for e in log_of(connection, workshop_id, plan_id) if e.at <= wish.as_of]
        try:
            campaign = read(json_patched(made.document, wish.patch)) if wish.patch else made.campaign
            now = from_here(campaign, made.plan, Actuals(as_of=wish.as_of, entries=entries), wish.told)
        except CampaignProblems as error:
            raise InvalidCampaign("The campaign cannot be planned from there.", error.problems[:100]) from None
        document = now.campaign.model_dump(mode="json", by_alias=True, exclude_unset=True)
        ready = read_campaign(json.dumps(document).encode(), document, service.settings.largest_budget)
        title = wish.title or f"{made.row.title} from {wish.as_of:%d %b %H:%M}"

        def act(connection: Connection, at: float) -> Response:
            still = [e for e in log_of(connection, workshop_id, plan_id) if e.at <= wish.as_of]
            if still != entries:
                raise Conflict("Something was written into the log meanwhile; ask again, so that it counts.")
            row = submitted(connection, workshop_id, ready, title[:200], at, plan_id)
            answer = Again(plan=state(row), taken_for_granted=now.notes)
            headers = {"Location": f"/v1/plans/{row.id}", "Retry-After": "1"}
            return Response(answer.model_dump_json(), 202, headers, "application/json")

        return asked.once(body, act)

    return await asked.queued(record)


@router.get(
    "/{plan_id}/changes",
    response_model=Changes,
    summary="What planning again changed",
    responses=answers(NotFound, Conflict, Invalid),
)
def changes(plan_id: PlanId, service: TheService, caller: Reader) -> Changes:
    """Of a plan made from another one: what moved, and why, in words."""
    with service.database.read() as connection:
        here = made_plan(connection, caller.workshop_id, plan_id)
        parent = here.row.parent_id
        if parent is None or reading.find(connection, caller.workshop_id, parent) is None:
            raise NotFound("This plan was not made from another one.")
        before = made_plan(connection, caller.workshop_id, parent)
        entries = log_of(connection, caller.workshop_id, parent)
    start = here.campaign.start
    notes: list[str] = []
    if start > before.campaign.start:
        notes = _now(before.campaign, [e for e in entries if e.at <= start], start).notes
    return what_changed(before.plan, here.plan, notes)


def _now(campaign: Campaign, entries: list[AnyEntry], start: datetime) -> Now:
    try:
        return from_here(campaign, None, Actuals(as_of=start, entries=entries))
    except CampaignProblems:
        return Now(campaign, [])


@router.get(
    "/{plan_id}/learned",
    response_model=Lessons,
    summary="What the log teaches",
    responses=answers(NotFound, Conflict, Invalid),
)
def learned(plan_id: PlanId, service: TheService, caller: Reader) -> Lessons:
    """Cycles, scrap, bench minutes, purges: measured against planned, with evidence."""
    with service.database.read() as connection:
        find_plan(connection, caller.workshop_id, plan_id)
        made = made_plan(connection, caller.workshop_id, plan_id)
        entries = log_of(connection, caller.workshop_id, plan_id)
    campaign = made.campaign
    latest = max([campaign.start, *(e.at for e in entries)])
    return Lessons(learned=learn(campaign, Actuals(as_of=latest, entries=entries)))

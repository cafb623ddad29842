"""POST /v1/plans/{id}/plan-again: from where the floor stands; what changed; what was learned."""

from typing import Any

from fastapi import APIRouter, Response
from pydantic import BaseModel, Field

from api.http.access import REFUSALS, Reader
from api.http.bodies import BODY_REFUSALS, fitting, json_body
from api.http.idempotency import json_answer
from api.http.problems import answers
from api.plans.parameters import PlanId
from api.plans.queued import PlanAsked
from api.plans.schemas import PlanState, state
from api.service import TheService
from api.service.refusals import Conflict, Invalid, InvalidCampaign, NotFound, TooMany
from api.services import floor_log
from api.services.floor_log import FromMoment, PlannedAgain
from api.services.once import Answer
from planner.actuals.changes import Changes
from planner.actuals.learned import Learned
from planner.campaign.base import WallClock
from planner.campaign.order_of_work import Told

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
    body, parsed = await asked.json()
    wish = await fitting(AgainWish, parsed)
    once = asked.once(body, _told)
    moment = FromMoment(wish.as_of, wish.title, wish.told, wish.patch)

    def act() -> Answer:
        return floor_log.plan_again(asked.service, once, asked.plan_id, moment)

    return await asked.answered(act)


def _told(again: PlannedAgain) -> Answer:
    said = Again(plan=state(again.row), taken_for_granted=again.taken_for_granted)
    headers = {"Location": f"/v1/plans/{again.row.id}", "Retry-After": "1"}
    return json_answer(said.model_dump_json(), 202, headers)


@router.get(
    "/{plan_id}/changes",
    response_model=Changes,
    summary="What planning again changed",
    responses=answers(NotFound, Conflict, Invalid),
)
def changes(plan_id: PlanId, service: TheService, caller: Reader) -> Changes:
    """Of a plan made from another one: what moved, and why, in words."""
    return floor_log.changes(service, caller.workshop_id, plan_id)


@router.get(
    "/{plan_id}/learned",
    response_model=Lessons,
    summary="What the log teaches",
    responses=answers(NotFound, Conflict, Invalid),
)
def learned(plan_id: PlanId, service: TheService, caller: Reader) -> Lessons:
    """Cycles, scrap, bench minutes, purges: measured against planned, with evidence."""
    return Lessons(learned=floor_log.learned(service, caller.workshop_id, plan_id))

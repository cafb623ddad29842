"""POST /v1/plans/{id}/variants: what if; GET /v1/plans/{id}/comparison: two plans side by side."""

import json
from functools import partial
from typing import Annotated, Any

from fastapi import APIRouter, Query, Response
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
from api.services import plans
from api.services.begin import begun_from
from api.services.campaign_documents import ReadCampaign, read_campaign
from api.services.made_plans import Made, made, with_parent, with_variants
from api.services.once import Answer
from planner.errors import CampaignProblems, Problem
from planner.plan import RunPlan
from planner.slips.compare import compare
from planner.slips.document import Comparison
from planner.slips.patches import json_patched, merge_patched
from worker.records.reading import PlanRow

router = APIRouter(prefix="/v1/plans", tags=["what if"], responses=answers(*REFUSALS))
MERGE, PATCH = "application/merge-patch+json", "application/json-patch+json"


class Variant(BaseModel):
    """One change to the campaign."""

    model_config = {"extra": "forbid"}
    title: str = Field(default="", max_length=200, description="none: the parent's title and a number")
    patch: dict[str, Any] | list[Any] = Field(
        description="an object: JSON Merge Patch (RFC 7396); a list: JSON Patch (RFC 6902)"
    )


class Variants(BaseModel):
    """Changes to be planned, each from the plan as it stands."""

    model_config = {"extra": "forbid"}
    variants: list[Variant] = Field(min_length=1, max_length=100)


class VariantPlans(BaseModel):
    """The plans that were queued, in the order of the changes."""

    plans: list[PlanState]


class VariantSeen(BaseModel):
    """One variant beside the plan it was made from."""

    plan: PlanState
    comparison: Comparison | None = Field(description="null: the variant is not made, or not yet")


class SideBySide(BaseModel):
    """A plan's variants beside it, newest first."""

    variants: list[VariantSeen]


_BODY = json_body(Variants)
_BODY["requestBody"]["content"] |= {
    MERGE: {"schema": {"type": "object", "description": "one change, RFC 7396"}},
    PATCH: {"schema": {"type": "array", "items": {"type": "object"}, "description": "one change, RFC 6902"}},
}


@router.post(
    "/{plan_id}/variants",
    status_code=202,
    response_model=VariantPlans,
    summary="Plan variants",
    openapi_extra=_BODY,
    responses=answers(NotFound, Conflict, InvalidCampaign, TooMany, *BODY_REFUSALS),
)
async def variants(asked: PlanAsked) -> Response:
    """Each change is applied to the campaign as it was sent, checked, and planned as a child of this plan, from its
    order of work on. All are queued, or none."""
    plan_id, workshop_id = asked.plan_id, asked.workshop_id
    body, parsed = await asked.json()
    kind = asked.request.headers.get("content-type", "").partition(";")[0].strip().lower()
    single = [Variant(patch=parsed)] if kind in (MERGE, PATCH) and isinstance(parsed, dict | list) else None
    wanted = single or (await fitting(Variants, parsed)).variants

    def act() -> Answer:
        parent = made(asked.service, workshop_id, plan_id)
        largest = asked.service.settings.largest_budget
        titled = [
            (change.title or f"{parent.row.title} ({n})", _read(parent, change, n - 1, largest))
            for n, change in enumerate(wanted, start=1)
        ]
        return plans.submit_variants(asked.service, asked.once(body, partial(_told, plan_id)), plan_id, titled)

    return await asked.answered(act)


def _told(plan_id: str, rows: list[PlanRow]) -> Answer:
    queued = VariantPlans(plans=[state(row) for row in rows])
    headers = {"Location": f"/v1/plans?parent={plan_id}", "Retry-After": "1"}
    return json_answer(queued.model_dump_json(), 202, headers)


def _read(parent: Made, change: Variant, number: int, largest_budget: float) -> ReadCampaign:
    """The changed campaign, set to begin from the parent's order of work; raises InvalidCampaign."""
    try:
        patched = (
            json_patched(parent.document, change.patch)
            if isinstance(change.patch, list)
            else merge_patched(parent.document, change.patch)
        )
    except CampaignProblems as error:
        at = f"/variants/{number}/patch"
        found = [Problem(at + p.pointer, p.message, p.remedy) for p in error.problems]
        raise InvalidCampaign("A change cannot be applied.", found) from None
    if not isinstance(patched, dict):
        raise InvalidCampaign("The change leaves no campaign.", [Problem("", "a campaign is an object")])
    patched = begun_from(patched, parent.plan)
    return read_campaign(json.dumps(patched).encode(), patched, largest_budget)


@router.get(
    "/{plan_id}/variants",
    response_model=SideBySide,
    summary="All variants side by side",
    responses=answers(NotFound, Conflict, Invalid),
)
def side_by_side(
    plan_id: PlanId,
    service: TheService,
    caller: Reader,
    limit: Annotated[int, Query(ge=1, le=100, description="the newest so many")] = 20,
) -> SideBySide:
    """Every plan made from this one, seen from it: dates by tier, money, purge, hours, runs that moved."""
    base, rows = with_variants(service, caller.workshop_id, plan_id, limit)
    before = base.plan
    return SideBySide(
        variants=[
            VariantSeen(
                plan=state(row),
                comparison=compare(before, RunPlan.model_validate_json(text[1])) if text is not None else None,
            )
            for row, text in rows
        ]
    )


@router.get(
    "/{plan_id}/comparison",
    response_model=Comparison,
    summary="Compare with another plan",
    responses=answers(NotFound, Conflict, Invalid),
)
def comparison(
    plan_id: PlanId,
    service: TheService,
    caller: Reader,
    base: Annotated[
        str | None,
        Query(max_length=40, pattern="^[0-9a-z]*$", description="the plan to compare with; none: the parent"),
    ] = None,
) -> Comparison:
    """This plan seen from another: dates by tier, money, purge, hours, runs that moved."""
    here, before = with_parent(
        service,
        caller.workshop_id,
        plan_id,
        base,
        "This plan has no parent here; name the plan to compare with as `base`.",
    )
    return compare(before.plan, here.plan)

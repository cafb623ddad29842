"""What can be done to a plan: rename, stop, cancel, plan anew, delete."""

from functools import partial
from typing import Annotated

from anyio import to_thread
from fastapi import APIRouter, Header, Request, Response

from api.http.access import REFUSALS, Submitter
from api.http.bodies import BODY_REFUSALS, fitting, json_body, read_json
from api.http.idempotency import response_of
from api.http.problems import answers
from api.plans import editions
from api.plans.parameters import PlanId
from api.plans.queued import PlanAsked
from api.plans.responses import accepted, ending, told
from api.plans.schemas import PlanState, PlanTitle
from api.service import TheService
from api.service.refusals import BadRequest, Changed, Conflict, Invalid, InvalidCampaign, NotFound, PreconditionRequired
from api.services import jobs, plans
from api.services.campaign_documents import read_campaign
from api.services.once import Answer
from planner.campaign import Campaign

router = APIRouter(prefix="/v1/plans", tags=["plans"], responses=answers(*REFUSALS))
IfMatch = Annotated[str | None, Header(description="the plan's ETag as you last saw it")]


@router.patch(
    "/{plan_id}",
    response_model=PlanState,
    summary="Rename a plan",
    openapi_extra=json_body(PlanTitle),
    responses=answers(NotFound, Changed, PreconditionRequired, *BODY_REFUSALS),
)
async def rename(
    plan_id: PlanId, request: Request, service: TheService, caller: Submitter, if_match: IfMatch = None
) -> Response:
    """JSON Merge Patch (RFC 7396) of the title; needs If-Match."""
    _, parsed = await read_json(request, 10_000, service.settings.deepest_body)
    title = (await fitting(PlanTitle, parsed)).title

    seen = partial(editions.check, if_match, needed=True)
    row = await to_thread.run_sync(plans.rename, service, caller.workshop_id, plan_id, title, seen)
    return response_of(told(row))


_ENDED = answers(NotFound, Conflict, Changed, Invalid, BadRequest)


@router.post(
    "/{plan_id}/stop",
    status_code=202,
    response_model=PlanState,
    summary="Stop and keep the best plan so far",
    responses=_ENDED,
)
def stop(asked: PlanAsked, if_match: IfMatch = None) -> Response:
    """The worker hears it within a second and publishes the best plan it has."""
    seen = partial(editions.check, if_match)
    return response_of(jobs.stop(asked.service, asked.once(b"", ending), jobs.PLAN, asked.plan_id, seen))


@router.post("/{plan_id}/cancel", status_code=202, response_model=PlanState, summary="Cancel", responses=_ENDED)
def cancel(asked: PlanAsked, if_match: IfMatch = None) -> Response:
    """Ends the plan at once, without a result."""
    seen = partial(editions.check, if_match)
    return response_of(jobs.cancel(asked.service, asked.once(b"", ending), jobs.PLAN, asked.plan_id, seen))


@router.post(
    "/{plan_id}/revisions",
    status_code=202,
    response_model=PlanState,
    summary="Plan anew from a changed campaign",
    openapi_extra=json_body(Campaign),
    responses=answers(*BODY_REFUSALS, InvalidCampaign, NotFound, Conflict, Changed, PreconditionRequired),
)
async def revise(asked: PlanAsked, if_match: IfMatch = None) -> Response:
    """Queues the plan's next revision; earlier revisions stay. Needs If-Match."""
    body, parsed = await asked.json()

    def act() -> Answer:
        read = read_campaign(body, parsed, asked.service.settings.largest_budget)
        seen = partial(editions.check, if_match, needed=True)
        return plans.plan_anew(asked.service, asked.once(body, accepted), asked.plan_id, read, seen)

    return await asked.answered(act)


@router.delete(
    "/{plan_id}",
    status_code=204,
    summary="Delete a plan",
    responses=answers(NotFound, Changed, Invalid),
)
def delete(plan_id: PlanId, service: TheService, caller: Submitter, if_match: IfMatch = None) -> Response:
    """With its revisions and events; a plan still being made is cancelled by it."""
    plans.remove(service, caller.workshop_id, plan_id, partial(editions.check, if_match))
    return Response(status_code=204)

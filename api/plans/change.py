"""What can be done to a plan: rename, stop, cancel, plan anew, delete."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated

from anyio import to_thread
from fastapi import APIRouter, Depends, Header, Request, Response
from sqlalchemy import Connection

from api.http.access import REFUSALS, Submitter
from api.http.bodies import BODY_REFUSALS, fitting, json_body, read_json
from api.http.problems import (
    BadRequest,
    Changed,
    Conflict,
    Invalid,
    InvalidCampaign,
    NotFound,
    PreconditionRequired,
    answers,
)
from api.plans import editions
from api.plans.answers import state_response
from api.plans.parameters import PlanId
from api.plans.queued import PlanAsked, revised
from api.plans.schemas import PlanState, PlanTitle
from api.service import TheService
from api.services.campaign_documents import read_campaign
from api.services.finding import find_plan
from planner.campaign import Campaign
from worker.records import changing

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

    def change() -> Response:
        with service.database.write() as connection:
            editions.check(if_match, find_plan(connection, caller.workshop_id, plan_id), needed=True)
            changing.retitle(connection, plan_id, title)
            return state_response(find_plan(connection, caller.workshop_id, plan_id))

    return await to_thread.run_sync(change)


@dataclass(frozen=True)
class Ending:
    """What stop and cancel are asked with."""

    asked: PlanAsked
    if_match: IfMatch = None

    def by(self, change: Callable[[Connection, str, float], None]) -> Response:
        """The plan after that change; raises Conflict where it is finished already."""
        workshop_id, plan_id = self.asked.workshop_id, self.asked.plan_id

        def act(connection: Connection, now: float) -> Response:
            row = find_plan(connection, workshop_id, plan_id)
            editions.check(self.if_match, row)
            try:
                change(connection, plan_id, now)
            except changing.AlreadyFinished:
                raise Conflict(f"The plan is {row.status} already.") from None
            return state_response(find_plan(connection, workshop_id, plan_id), 202)

        return self.asked.once(b"", act)


_ENDED = answers(NotFound, Conflict, Changed, Invalid, BadRequest)


@router.post(
    "/{plan_id}/stop",
    status_code=202,
    response_model=PlanState,
    summary="Stop and keep the best plan so far",
    responses=_ENDED,
)
def stop(ending: Annotated[Ending, Depends()]) -> Response:
    """The worker hears it within a second and publishes the best plan it has."""
    return ending.by(changing.request_stop)


@router.post("/{plan_id}/cancel", status_code=202, response_model=PlanState, summary="Cancel", responses=_ENDED)
def cancel(ending: Annotated[Ending, Depends()]) -> Response:
    """Ends the plan at once, without a result."""
    return ending.by(changing.cancel)


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

    def record() -> Response:
        read = read_campaign(body, parsed, asked.service.settings.largest_budget)
        return asked.once(
            body, lambda connection, now: revised(connection, asked.workshop_id, asked.plan_id, read, if_match, now)
        )

    return await asked.queued(record)


@router.delete(
    "/{plan_id}",
    status_code=204,
    summary="Delete a plan",
    responses=answers(NotFound, Changed, Invalid),
)
def delete(plan_id: PlanId, service: TheService, caller: Submitter, if_match: IfMatch = None) -> Response:
    """With its revisions and events; a plan still being made is cancelled by it."""
    with service.database.write() as connection:
        editions.check(if_match, find_plan(connection, caller.workshop_id, plan_id))
        changing.remove(connection, plan_id)
    return Response(status_code=204)

"""POST /v1/plans: a campaign comes in and is written down."""

import time
from typing import Annotated

from anyio import sleep, to_thread
from fastapi import APIRouter, Query, Request, Response

from api.http import negotiation
from api.http.access import REFUSALS, Submitter
from api.http.bodies import BODY_REFUSALS, json_body, read_json
from api.http.idempotency import IdempotencyKey, response_of
from api.http.problems import answers
from api.plans.parameters import Prefer
from api.plans.responses import accepted, plan_response
from api.plans.schemas import PlanAnswer, PlanState
from api.service import Service, TheService
from api.service.refusals import InvalidCampaign, NotFound, TooMany
from api.services import plans
from api.services.campaign_documents import read_campaign
from api.services.once import Answer, Once
from api.services.workshop_log import grown, with_entries
from planner.campaign import Campaign

router = APIRouter(prefix="/v1/plans", tags=["plans"], responses=answers(*REFUSALS))


@router.post(
    "",
    status_code=202,
    response_model=PlanState,
    summary="Submit a campaign",
    openapi_extra=json_body(Campaign),
    responses=answers(*BODY_REFUSALS, InvalidCampaign, TooMany)
    | {200: {"model": PlanAnswer, "description": "finished within `Prefer: wait`"}},
)
async def submit(
    request: Request,
    service: TheService,
    caller: Submitter,
    idempotency_key: IdempotencyKey = None,
    prefer: Prefer = None,
    workshop_log: Annotated[
        bool, Query(description="true: add what fits of the workshop's purge log to the campaign's own")
    ] = False,
) -> Response:
    """Takes a campaign, writes it down, and has it planned.

    202 means it is recorded and will be planned whatever happens to the machine; `Location` says where to look.
    With `workshop_log` the campaign that is kept holds the entries, and the plan's `purging` says how its total moves.
    """
    settings = service.settings
    body, parsed = await read_json(request, settings.largest_body_bytes, settings.deepest_body)

    address = f"{request.url.path}?workshop_log" if workshop_log else request.url.path
    once = Once(caller.workshop_id, idempotency_key, (address, body), accepted)

    def act() -> Answer:
        read = read_campaign(body, parsed, settings.largest_budget)
        if workshop_log and (new := grown(service, caller.workshop_id, read.campaign).new):
            read = with_entries(parsed, new, settings.largest_budget)
        return plans.submit(service, once, read)

    answer = response_of(await to_thread.run_sync(act))
    wait = negotiation.preferred_wait(prefer)
    if wait <= 0:
        return answer
    return await _wait(service, caller.workshop_id, answer, wait)


async def _wait(service: Service, workshop_id: str, answer: Response, seconds: float) -> Response:
    """The finished plan, or where it stands when the time is over; the acceptance where it was deleted meanwhile."""
    plan_id = answer.headers["location"].rpartition("/")[2]
    until = time.monotonic() + seconds

    def look() -> Response:
        try:
            row, newest = plans.with_newest(service, workshop_id, plan_id)
        except NotFound:  # deleted meanwhile
            return answer
        if not row.finished:
            return response_of(accepted(row))
        headers = {"Location": f"/v1/plans/{plan_id}", "Preference-Applied": f"wait={seconds:.0f}"}
        return plan_response(row, newest, 200, headers)

    pause = 0.1
    while time.monotonic() < until:
        await sleep(min(pause, max(0.0, until - time.monotonic())))
        pause = min(pause * 1.3, 1.0)
        answer = await to_thread.run_sync(look)
        if answer.status_code == 200:
            return answer
    return answer

"""POST /v1/plans: a campaign comes in and is written down."""

import time
from typing import Annotated

from anyio import sleep, to_thread
from fastapi import APIRouter, Header, Query, Request, Response
from sqlalchemy import Connection

from api.http import negotiation
from api.http.access import REFUSALS, Submitter
from api.http.bodies import BODY_REFUSALS, json_body, read_json
from api.http.idempotency import IdempotencyKey, once
from api.http.problems import InvalidCampaign, TooMany, answers
from api.plans.answers import accepted as accepted_as
from api.plans.answers import plan_response
from api.plans.schemas import PlanAnswer, PlanState
from api.service import Service, TheService
from api.services.campaign_documents import ReadCampaign, read_campaign
from api.services.submitting import submitted
from api.services.workshop_log import grown, with_entries
from planner.campaign import Campaign
from worker.records import reading

router = APIRouter(prefix="/v1/plans", tags=["plans"], responses=answers(*REFUSALS))
Prefer = Annotated[str | None, Header(description="`wait=N`: answer when the plan is finished, or after N seconds")]


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

    def record() -> Response:
        read = read_campaign(body, parsed, settings.largest_budget)
        if workshop_log and (new := grown(service, caller.workshop_id, read.campaign).new):
            read = with_entries(parsed, new, settings.largest_budget)
        with service.database.write() as connection:
            return once(
                connection,
                caller.workshop_id,
                idempotency_key,
                (f"{request.url.path}?workshop_log" if workshop_log else request.url.path, body),
                time.time(),
                lambda: accept(connection, caller.workshop_id, read),
            )

    accepted = await to_thread.run_sync(record)
    service.sender.nudge()
    wait = negotiation.preferred_wait(prefer)
    if wait <= 0:
        return accepted
    return await _wait(service, caller.workshop_id, accepted, wait)


def accept(connection: Connection, workshop_id: str, read: ReadCampaign) -> Response:
    """Writes a campaign down as a plan to be made. Raises TooMany where the workshop's quota is used up."""
    return accepted_as(submitted(connection, workshop_id, read, read.campaign.name, time.time()))


async def _wait(service: Service, workshop_id: str, accepted: Response, seconds: float) -> Response:
    """The finished plan, or the acceptance as it was when the time is over."""
    plan_id = accepted.headers["location"].rpartition("/")[2]
    until = time.monotonic() + seconds

    def look() -> Response | None:
        with service.database.read() as connection:
            row = reading.find(connection, workshop_id, plan_id)
            if row is None or not row.finished:
                return None
            headers = {"Location": f"/v1/plans/{plan_id}", "Preference-Applied": f"wait={seconds:.0f}"}
            return plan_response(row, reading.newest_document(connection, plan_id), 200, headers)

    pause = 0.1
    while time.monotonic() < until:
        await sleep(min(pause, max(0.0, until - time.monotonic())))
        pause = min(pause * 1.3, 1.0)
        finished = await to_thread.run_sync(look)
        if finished is not None:
            return finished
    return accepted

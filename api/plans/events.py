"""GET /v1/plans/{id}/events: live progress as server-sent events, resumable, from the records only."""

import json
import time
from collections.abc import AsyncIterator
from typing import Annotated

from anyio import sleep, to_thread
from fastapi import APIRouter, Header, Response
from fastapi.responses import StreamingResponse

from api.access import REFUSALS, Reader
from api.moments import moment
from api.plans.finding import PlanId, find_plan
from api.problems import BadRequest, Invalid, NotFound, answers
from api.service import Service, TheService
from worker.records import events
from worker.records.events import ENDINGS, PlanEvent

router = APIRouter(prefix="/v1/plans", tags=["plans"], responses=answers(*REFUSALS))
LONGEST_LIFE = 600.0
"""Seconds after which a stream ends; the client comes back with Last-Event-ID and misses nothing."""
LOOK = 0.4
"""Seconds between two looks into the records."""
STILL_HERE = 10.0
"""Seconds of silence after which a comment is sent, so that nobody between takes the line for dead."""


@router.get(
    "/{plan_id}/events",
    summary="Watch a plan",
    response_class=StreamingResponse,
    responses={
        200: {
            "description": "events queued, started, started-again, progress, stop-requested, done, failed, "
            "cancelled; `id` counts 1, 2, 3 ... without gaps; ends after done, failed or cancelled",
            "content": {"text/event-stream": {"schema": {"type": "string"}}},
        },
        204: {"description": "finished, and you have seen it all: do not come back"},
    }
    | answers(NotFound, BadRequest, Invalid),
)
def watch(
    plan_id: PlanId,
    service: TheService,
    caller: Reader,
    last_event_id: Annotated[str | None, Header(description="the last event's id you have seen")] = None,
) -> Response:
    """From the first event, or from the one after `Last-Event-ID`."""
    seen = _number(last_event_id)
    with service.database.read() as connection:
        row = find_plan(connection, caller.workshop_id, plan_id)
    if row.finished and seen >= row.last_event:
        return Response(status_code=204)
    headers = {"Cache-Control": "no-store", "X-Accel-Buffering": "no"}
    return StreamingResponse(_stream(service, plan_id, seen), media_type="text/event-stream", headers=headers)


def _number(last_event_id: str | None) -> int:
    if not last_event_id:
        return 0
    if not last_event_id.isdecimal() or len(last_event_id) > 9:
        raise BadRequest("`Last-Event-ID` is a number this stream gave you.")
    return int(last_event_id)


async def _stream(service: Service, plan_id: str, seen: int) -> AsyncIterator[str]:
    ends = time.monotonic() + LONGEST_LIFE
    spoke = time.monotonic()
    yield "retry: 1000\n\n"

    def look() -> list[PlanEvent]:
        with service.database.read() as connection:
            return events.after(connection, plan_id, seen)

    while time.monotonic() < ends:
        for event in await to_thread.run_sync(look):
            yield _written(event)
            seen, spoke = event.number, time.monotonic()
            last = event.kind
            if last in ENDINGS and not await to_thread.run_sync(look):
                return
        if time.monotonic() - spoke > STILL_HERE:
            spoke = time.monotonic()
            yield ": still here\n\n"
        await sleep(LOOK)


def _written(event: PlanEvent) -> str:
    data = {"at": moment(event.at).isoformat(), **event.data}
    return f"id: {event.number}\nevent: {event.kind}\ndata: {json.dumps(data)}\n\n"

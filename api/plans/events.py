"""GET /v1/plans/{id}/events: live progress as server-sent events, resumable, from the records only."""

from fastapi import APIRouter, Response
from fastapi.responses import StreamingResponse

from api.http.access import REFUSALS, Reader
from api.http.event_stream import LastEventId, watched
from api.http.problems import answers
from api.plans.parameters import PlanId
from api.service import TheService
from api.service.refusals import BadRequest, Invalid, NotFound
from api.services import jobs

router = APIRouter(prefix="/v1/plans", tags=["plans"], responses=answers(*REFUSALS))


@router.get(
    "/{plan_id}/events",
    summary="Watch a plan",
    response_class=StreamingResponse,
    responses=answers(NotFound, BadRequest, Invalid)
    | {
        200: {
            "description": "events queued, started, started-again, handed-back, progress, stop-requested, done, "
            "failed, cancelled; `id` counts 1, 2, 3 ... without gaps; ends after done, failed or cancelled",
            "content": {"text/event-stream": {"schema": {"type": "string"}}},
        },
        204: {"description": "finished, and you have seen it all: do not come back"},
    },
)
def watch(plan_id: PlanId, service: TheService, caller: Reader, last_event_id: LastEventId = None) -> Response:
    """From the first event, or from the one after `Last-Event-ID`."""
    return watched(service, caller.workshop_id, jobs.PLAN, plan_id, last_event_id)

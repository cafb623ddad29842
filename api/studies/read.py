"""/v1/studies/{id} and /v1/plans/{id}/studies: where a study stands, what it said so far, live or whole."""

import json
from typing import Annotated

from fastapi import APIRouter, Header, Path, Query, Response
from fastapi.responses import StreamingResponse

from api.http import negotiation
from api.http.access import REFUSALS, Reader, Submitter
from api.http.event_stream import LastEventId, watched
from api.http.idempotency import response_of
from api.http.problems import answers
from api.http.sheets import AskedWritten
from api.pictures.slips import slips_svg
from api.plans.cursors import PageAsked
from api.plans.parameters import PlanId
from api.service import Service, TheService
from api.service.refusals import BadRequest, Conflict, Invalid, NotAcceptable, NotFound
from api.services import jobs, studies
from api.services.once import Once
from api.services.planned_slips import as_planned, of_study
from api.studies.asking import told, whole
from api.studies.picture import slips_so_far
from api.studies.schemas import StudyAnswer, StudyPage, StudyState, state
from worker.records.ids import PATTERN
from worker.records.studies import StudyRow

router = APIRouter(prefix="/v1", tags=["studies"], responses=answers(*REFUSALS))
JSON, SVG = "application/json", "image/svg+xml"
StudyId = Annotated[str, Path(pattern=PATTERN)]


@router.get(
    "/plans/{plan_id}/studies",
    response_model=StudyPage,
    summary="List a plan's studies",
    responses=answers(NotFound, BadRequest, Invalid),
)
def list_studies(
    plan_id: PlanId,
    service: TheService,
    caller: Reader,
    asked: PageAsked,
    kind: Annotated[str | None, Query(max_length=40, pattern="^[a-z-]*$")] = None,
) -> StudyPage:
    """Newest first, without what they said."""
    rows = studies.page(service, caller.workshop_id, plan_id, asked.wanted, asked.before, kind)
    shown, following = asked.shown(rows, f"/v1/plans/{plan_id}/studies", kind=kind)
    return StudyPage(studies=[state(row) for row in shown], next=following)


@router.get(
    "/studies/{study_id}",
    response_model=StudyAnswer,
    summary="Read a study",
    responses=answers(NotFound, NotAcceptable) | negotiation.also_as(SVG),
)
def read_study(
    study_id: StudyId,
    service: TheService,
    caller: Reader,
    written: AskedWritten,
    accept: Annotated[str | None, Header()] = None,
) -> Response:
    """Where it stands, what its parts have said so far, and its document once it is done. A slip table with
    `Accept: image/svg+xml`: its whole rows as a picture."""
    row = jobs.standing(service, caller.workshop_id, jobs.STUDY, study_id)
    form = negotiation.choose(accept, [JSON, SVG] if row.kind == "slip-table" else [JSON])
    answer = whole(service, row)
    if row.kind == "slip-table" and row.status == "done":
        answer = _agreeing(service, caller.workshop_id, row, answer)
    answer.headers["Vary"] = "Accept"
    if form == JSON:
        return answer
    table = slips_so_far(json.loads(bytes(answer.body))["so_far"], json.loads(row.question)["slips"])
    written.begin()
    return Response(slips_svg(table), 200, {"Cache-Control": "no-cache", "Vary": "Accept"}, SVG)


def _agreeing(service: Service, workshop_id: str, row: StudyRow, answer: Response) -> Response:
    """A slip table that says what variants say which were planned for just one of its slips."""
    planned = of_study(service, workshop_id, row)
    if planned is None:
        return answer
    body = json.loads(bytes(answer.body))
    body["so_far"] = as_planned(body["so_far"], planned.cells, planned.currency)
    if body["result"]:
        body["result"] = slips_so_far(body["so_far"], json.loads(row.question)["slips"]).model_dump(mode="json")
    return Response(json.dumps(body), 200, {"Cache-Control": "no-cache"}, "application/json")


@router.get(
    "/studies/{study_id}/events",
    operation_id="watch_study",
    summary="Watch a study",
    response_class=StreamingResponse,
    responses=answers(NotFound, BadRequest, Invalid)
    | {
        200: {
            "description": "events begun, started, stop-requested, done, failed, cancelled, and between them what its "
            "parts say (cell, row, table, lever, best, promise ...) in the member `said`; `id` counts 1, 2, 3 ... "
            "without gaps; ends after done, failed or cancelled",
            "content": {"text/event-stream": {"schema": {"type": "string"}}},
        },
        204: {"description": "finished, and you have seen it all: do not come back"},
    },
)
def watch(study_id: StudyId, service: TheService, caller: Reader, last_event_id: LastEventId = None) -> Response:
    """From the first event, or from the one after `Last-Event-ID`."""
    return watched(service, caller.workshop_id, jobs.STUDY, study_id, last_event_id)


@router.post(
    "/studies/{study_id}/stop",
    status_code=202,
    response_model=StudyState,
    operation_id="stop_study",
    summary="Stop a study and keep what is there",
    responses=answers(NotFound, Conflict),
)
def stop(study_id: StudyId, service: TheService, caller: Submitter) -> Response:
    """No more parts are begun; what is there is put together."""
    return response_of(jobs.stop(service, Once(caller.workshop_id, None, ("", b""), told), jobs.STUDY, study_id))


@router.post(
    "/studies/{study_id}/cancel",
    status_code=202,
    response_model=StudyState,
    operation_id="cancel_study",
    summary="Cancel a study",
    responses=answers(NotFound, Conflict),
)
def cancel(study_id: StudyId, service: TheService, caller: Submitter) -> Response:
    """Ends it at once, without a document; what it said so far stays."""
    return response_of(jobs.cancel(service, Once(caller.workshop_id, None, ("", b""), told), jobs.STUDY, study_id))


@router.delete(
    "/studies/{study_id}",
    status_code=204,
    operation_id="delete_study",
    summary="Delete a study",
    responses=answers(NotFound),
)
def delete(study_id: StudyId, service: TheService, caller: Submitter) -> Response:
    """With all it said; one still being worked out ends by it."""
    studies.remove(service, caller.workshop_id, study_id)
    return Response(status_code=204)

"""POST /v1/plans/{id}/promise: dates with how sure they are, from replications worked out by a worker."""

from fastapi import APIRouter, Response

from api.http import negotiation
from api.http.access import REFUSALS
from api.http.bodies import BODY_REFUSALS, fitting, json_body
from api.http.problems import answers
from api.plans.parameters import Prefer
from api.plans.queued import PlanAsked
from api.promises.question import PromiseQuestion
from api.service.refusals import Conflict, Invalid, NotFound, TooMany
from api.studies.asking import PATIENCE, ask_by, document, study_id_in
from api.studies.schemas import StudyState
from planner.promise.document import Promise

router = APIRouter(prefix="/v1/plans", tags=["promises"], responses=answers(*REFUSALS))


@router.post(
    "/{plan_id}/promise",
    response_model=Promise,
    summary="Promise dates",
    openapi_extra=json_body(PromiseQuestion),
    responses=answers(NotFound, Conflict, Invalid, TooMany, *BODY_REFUSALS)
    | {202: {"model": StudyState, "description": "being simulated: `Location` says where to look"}},
)
async def promise(
    asked: PlanAsked,
    prefer: Prefer = None,
) -> Response:
    """Simulates the plan's order of work under what the campaign says is not sure (`uncertainty`), or the common case.

    The same question about the same plan gives the same answer, which is simulated once. Waited for up to a minute, or
    as long as `Prefer: wait=N` says; with `Prefer: respond-async` not at all."""
    body, parsed = await asked.json()
    question = await fitting(PromiseQuestion, parsed)
    accepted = await ask_by(asked, "promise", question.model_dump(), body)
    patience = 0.0 if negotiation.prefers_async(prefer) else negotiation.preferred_wait(prefer) or PATIENCE
    text = await document(asked.service, asked.workshop_id, study_id_in(accepted), patience)
    if text is None:
        return accepted
    return Response(text, 200, {"Location": accepted.headers["location"]}, "application/json")

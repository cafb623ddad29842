"""POST /v1/plans/{id}/promise: dates with how sure they are, from replications worked out by a worker."""

from anyio import to_thread
from fastapi import APIRouter, Response
from pydantic import BaseModel, Field

from api.http import negotiation
from api.http.access import REFUSALS
from api.http.bodies import BODY_REFUSALS, fitting, json_body
from api.http.problems import answers
from api.plans.queued import PlanAsked
from api.plans.submit import Prefer
from api.service import Service
from api.service.refusals import Conflict, Invalid, NotFound, TooMany
from api.studies.asking import PATIENCE, ask, ask_by, document, study_id_in
from api.studies.schemas import StudyState
from planner.promise.document import Asked, Promise
from planner.promise.make import MOST_REPLICATIONS, REPLICATIONS

router = APIRouter(prefix="/v1/plans", tags=["promises"], responses=answers(*REFUSALS))


class PromiseQuestion(BaseModel):
    """How to simulate; everything may be left out."""

    model_config = {"extra": "forbid"}
    floors: int = Field(default=REPLICATIONS, ge=100, le=MOST_REPLICATIONS, description="replications")
    seed: int = Field(default=1, ge=0, le=2**31 - 1, description="the same seed: the same draws, also for variants")
    confidence: float = Field(default=0.8, ge=0.5, le=0.99, description="how sure the date to announce shall be")
    policy: Asked = Field(
        default="of the plan",
        description="of the plan: what the plan counts on, where it says so, else as planned; as planned: the "
        "order of work is followed; first ready: a press whose next tool is late takes the first run whose tool is "
        "ready; plan again: it does what costs least by what is known then",
    )


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


async def promise_of(service: Service, workshop_id: str, plan_id: str, question: PromiseQuestion) -> Promise | None:
    """The promise of a plan that is made; None if it takes the workers longer than a minute."""
    accepted = await ask(service, workshop_id, plan_id, "promise", question.model_dump())
    text = await document(service, workshop_id, study_id_in(accepted), PATIENCE)
    return None if text is None else await to_thread.run_sync(Promise.model_validate_json, text)

"""POST /v1/plans/{id}/promise: dates with how sure they are, from simulated floors."""

from anyio import to_thread
from fastapi import APIRouter, Request, Response
from pydantic import BaseModel, Field

from api.access import REFUSALS, Submitter
from api.bodies import BODY_REFUSALS, json_body, read_json, valid
from api.plans.finding import PlanId
from api.problems import Conflict, Invalid, NotFound, answers
from api.service import TheService
from api.slips.fanout import cores
from api.slips.parents import Made, made_plan
from planner.promise.document import Policy, Promise
from planner.promise.make import FLOORS, MOST_FLOORS, make_promise

router = APIRouter(prefix="/v1/plans", tags=["promises"], responses=answers(*REFUSALS))


class PromiseQuestion(BaseModel):
    """How to simulate; everything may be left out."""

    model_config = {"extra": "forbid"}
    floors: int = Field(default=FLOORS, ge=100, le=MOST_FLOORS, description="simulated floors")
    seed: int = Field(default=1, ge=0, le=2**31 - 1, description="the same seed: the same luck, also for variants")
    confidence: float = Field(default=0.8, ge=0.5, le=0.99, description="how sure the date to announce shall be")
    policy: Policy = Field(
        default="as planned",
        description="as planned: the order of work is followed; first ready: a press whose next tool is not ready "
        "takes the first run whose tool is",
    )


@router.post(
    "/{plan_id}/promise",
    response_model=Promise,
    summary="Promise dates",
    openapi_extra=json_body(PromiseQuestion),
    responses=answers(NotFound, Conflict, Invalid, *BODY_REFUSALS),
)
async def promise(plan_id: PlanId, request: Request, service: TheService, caller: Submitter) -> Response:
    """Simulates the plan's order of work under what the campaign says is not sure (`uncertainty`), or the common case.

    The same question about the same plan gives the same answer."""
    _, parsed = await read_json(request, service.settings.largest_body_bytes, service.settings.deepest_body)
    question = valid(PromiseQuestion, parsed)

    def simulate() -> Response:
        with service.database.read() as connection:
            made = made_plan(connection, caller.workshop_id, plan_id)
        return Response(promise_of(made, question).model_dump_json(), 200, None, "application/json")

    return await to_thread.run_sync(simulate)


def promise_of(made: Made, question: PromiseQuestion) -> Promise:
    """The promise of a plan that is made."""
    return make_promise(
        made.campaign,
        made.plan,
        question.floors,
        question.seed,
        question.confidence,
        question.policy,
        cores(),
    )

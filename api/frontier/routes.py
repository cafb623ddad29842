"""/v1/plans/{id}/frontier: what a day costs in kilograms, as plans that trade waste against the last dispatch.

Each point is a plan like any other, made by the workers from the order of work of the plan asked about, a variant of
it. What is asked here afterwards puts those that are made side by side.
"""

import json
from functools import partial
from typing import Annotated, Any

from fastapi import APIRouter, Header, Query, Response
from fastapi.responses import StreamingResponse
from pydantic import BaseModel, Field

from api.exports.csv_lists import csv_bytes
from api.exports.values import Value
from api.http import negotiation
from api.http.access import REFUSALS, Reader
from api.http.bodies import BODY_REFUSALS, json_body, valid
from api.http.idempotency import json_answer
from api.http.problems import answers
from api.plans.parameters import PlanId
from api.plans.queued import PlanAsked
from api.plans.schemas import PlanState, state
from api.service import TheService
from api.service.refusals import Conflict, Invalid, NotAcceptable, NotFound, TooMany
from api.services import made_plans
from api.services import plans as plan_service
from api.services.campaign_documents import ReadCampaign, read_campaign
from api.services.made_plans import Made
from api.services.once import Answer
from planner.errors import Problem
from planner.frontier.document import Frontier, Point
from planner.frontier.make import frontier, point
from planner.frontier.rates import planning_patch, point_title, rates_for
from planner.plan import RunPlan
from planner.plan.order_of_work import order_of
from planner.slips.patches import merge_patched
from worker.records.reading import PlanRow

router = APIRouter(prefix="/v1/plans", tags=["what if"], responses=answers(*REFUSALS))
FORMS = ["application/json", "text/csv"]
MOST_POINTS = 12
Rate = Annotated[float, Field(ge=0, le=1e6)]
HEADINGS = ("Plan", "Title", "Waste kg", "Purge kg", "Last dispatch", "Cost", "Late parcels", "Beaten")


class FrontierQuestion(BaseModel):
    """How long to plan each point; everything may be left out."""

    model_config = {"extra": "forbid"}
    rates: list[Rate] | None = Field(
        default=None,
        min_length=1,
        max_length=MOST_POINTS,
        description="kg of waste that the last dispatch a day sooner is worth, one point each; 0: no kilogram for any "
        "day. None: six rates drawn from the plan's own waste and days",
    )
    seconds: Annotated[float, Field(gt=0, le=600)] = Field(default=10, description="planning time for each point")
    rounds: Annotated[int, Field(ge=0, le=100_000)] | None = Field(
        default=None, description="search rounds for each point instead: the same answer on any machine"
    )


class FrontierPlans(BaseModel):
    """The plans that were queued, least waste first. `result` puts those that are made side by side."""

    plans: list[PlanState]
    result: str


@router.post(
    "/{plan_id}/frontier",
    status_code=202,
    response_model=FrontierPlans,
    summary="Plan the trade-off between waste and days",
    openapi_extra=json_body(FrontierQuestion),
    responses=answers(NotFound, Conflict, TooMany, *BODY_REFUSALS),
)
async def ask_frontier(asked: PlanAsked) -> Response:
    """Has the campaign planned at several rates of exchange between a day and a kilogram of purge and start-up waste,
    each as a child of this plan, from its order of work on. All are queued, or none."""
    plan_id, workshop_id = asked.plan_id, asked.workshop_id
    body, parsed = await asked.json()

    def act() -> Answer:
        question = valid(FrontierQuestion, parsed)
        parent = made_plans.made(asked.service, workshop_id, plan_id)
        largest = asked.service.settings.largest_budget
        rates = sorted(set(rates_for(parent.plan) if question.rates is None else question.rates))
        titled = [
            (f"{parent.row.title[:150]}: {point_title(rate)}", _at(parent, rate, question, largest)) for rate in rates
        ]
        return plan_service.submit_variants(asked.service, asked.once(body, partial(_told, plan_id)), plan_id, titled)

    return await asked.answered(act)


def _told(plan_id: str, rows: list[PlanRow]) -> Answer:
    result = f"/v1/plans/{plan_id}/frontier?plans={','.join(row.id for row in rows)}"
    said = FrontierPlans(plans=[state(row) for row in rows], result=result)
    return json_answer(said.model_dump_json(), 202, {"Location": result, "Retry-After": "2"})


def _at(parent: Made, rate: float, question: FrontierQuestion, largest_budget: float) -> ReadCampaign:
    """The parent's campaign to be planned at that rate, from the parent's order of work on."""
    order = order_of(parent.plan).model_dump(mode="json")
    budget = {"seconds": question.seconds, "rounds": question.rounds, "gap": 0, "begin_from": order, "told": None}
    patch: dict[str, Any] = {"planning": planning_patch(rate)["planning"] | budget}
    patched = merge_patched(parent.document, patch)
    return read_campaign(json.dumps(patched).encode(), patched, largest_budget)


@router.get(
    "/{plan_id}/frontier",
    response_model=Frontier,
    summary="The trade-off list",
    responses=answers(NotFound, Conflict, Invalid, NotAcceptable) | negotiation.also_as("text/csv"),
)
def read_frontier(
    plan_id: PlanId,
    service: TheService,
    caller: Reader,
    plans: Annotated[
        str,
        Query(
            max_length=41 * MOST_POINTS,
            pattern="^[0-9a-z]{1,40}(,[0-9a-z]{1,40})*$",
            description="ids of the plans of the points, with commas between; `result` of the question has them",
        ),
    ],
    accept: Annotated[str | None, Header()] = None,
) -> Any:
    """This plan and those of the points that are made: which no other beats in both waste and last dispatch, and what
    a day earlier costs in kilograms and money. As JSON, or as CSV with a line a plan."""
    form = negotiation.choose(accept, FORMS)
    made: list[Point] = []
    waiting = failed = 0
    parent = made_plans.made(service, caller.workshop_id, plan_id)
    made.append(point(plan_id, parent.row.title, parent.plan))
    for child in dict.fromkeys(plans.split(",")):
        row, newest = plan_service.with_newest(service, caller.workshop_id, child)
        if row.parent_id != plan_id:
            told = [Problem("/plans", f"`{child}` is no variant of this plan", "ask with the `result` you were given")]
            raise Invalid("The plans do not belong together.", told)
        if newest is not None:
            made.append(point(child, row.title, RunPlan.model_validate_json(newest[1])))
        elif row.finished:
            failed += 1
        else:
            waiting += 1
    found = frontier(made, parent.plan.currency, waiting, failed)
    headers = {"Retry-After": "2"} if waiting else {}
    if form == "text/csv":
        headers["Content-Disposition"] = f'attachment; filename="frontier-{plan_id}.csv"'
        return StreamingResponse(csv_bytes(HEADINGS, _rows(found)), 200, headers, "text/csv; charset=utf-8")
    return Response(found.model_dump_json(), 200, headers, "application/json")


def _rows(found: Frontier) -> list[list[Value]]:
    return [
        [p.plan, p.title, p.waste_kg, p.purge_kg, p.last_dispatch, p.cost, p.late_parcels, beaten]
        for points, beaten in ((found.points, False), (found.beaten, True))
        for p in points
    ]

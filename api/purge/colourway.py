"""/v1/plans/{id}/colourway-price: what one more, or one fewer, colourway costs, by planning both ways.

Both ways are plans like any other, made by the workers with the same budget and seed, variants of the plan asked
about. What is asked here afterwards compares two finished plans.
"""

import json
from functools import partial
from typing import Annotated, Any

from fastapi import APIRouter, Query, Response
from pydantic import Field

from api.http.access import REFUSALS, Reader
from api.http.bodies import BODY_REFUSALS, valid
from api.http.idempotency import json_answer
from api.http.problems import answers
from api.plans.parameters import PlanId
from api.plans.queued import PlanAsked
from api.plans.schemas import PlanState, state
from api.purge.schemas import PurgeAnswer
from api.service import TheService
from api.service.refusals import Conflict, Invalid, InvalidCampaign, NotFound, TooMany
from api.services import plans
from api.services.campaign_documents import ReadCampaign, read_campaign
from api.services.once import Answer
from planner.campaign import Campaign
from planner.campaign.base import Document, Id
from planner.campaign.materials import Colour
from planner.colourways.add_colourway import LARGEST_SHARE, with_another
from planner.colourways.changed import Changed
from planner.colourways.drop_colourway import Orders, without
from planner.colourways.price import ColourwayPrice, price
from planner.errors import CampaignProblems, Problem
from planner.plan import RunPlan
from worker.records.ids import PATTERN
from worker.records.reading import PlanRow

router = APIRouter(prefix="/v1/plans", tags=["purge"], responses=answers(*REFUSALS))
EXAMPLE: dict[str, Any] = {"fewer": {"colourway": "mustard", "orders": "move"}, "seconds": 10}


class Fewer(Document):
    """The campaign without one of its colourways."""

    colourway: Id
    orders: Orders = Field(
        default="move",
        description="move: its orders go to the other colourways, by their share of the units; "
        "drop: every order that holds one of its units goes",
    )


class More(Document):
    """The campaign with one more colourway, which takes a share of every other one's units."""

    colourway: Id
    parts: dict[Id, list[Id]] = Field(max_length=200, description="part -> one colour per barrel of the part")
    share: float | None = Field(
        default=None, gt=0, le=LARGEST_SHARE, description="of the units ordered; none: as if all were liked the same"
    )
    colours: dict[Id, Colour] = Field(default={}, max_length=20, description="masterbatches the campaign lacks")


class ColourwayQuestion(Document):
    """One of `fewer` and `more`."""

    product: Id | None = Field(default=None, description="needed only where the campaign has several")
    fewer: Fewer | None = None
    more: More | None = None
    seconds: Annotated[float, Field(gt=0, le=600)] = Field(default=10, description="planning time for each way")
    rounds: Annotated[int, Field(ge=0, le=100_000)] | None = Field(
        default=None, description="search rounds for each way instead: the same answer on any machine"
    )


class BothWays(PurgeAnswer):
    """Two plans on their way. `result` answers once both are done."""

    as_it_is: PlanState
    changed: PlanState
    moved: dict[str, int] = Field(description="units by the colourway they went to")
    orders_dropped: int = Field(description="parcels that are not made any more")
    result: str


@router.post(
    "/{plan_id}/colourway-price",
    status_code=202,
    response_model=BothWays,
    summary="Price one more, or one fewer, colourway",
    openapi_extra={
        "requestBody": {
            "required": True,
            "content": {
                "application/json": {
                    "schema": {"$ref": "#/components/schemas/ColourwayQuestion"},
                    "example": EXAMPLE,
                }
            },
        }
    },
    responses=answers(*BODY_REFUSALS, InvalidCampaign, NotFound, TooMany),
)
async def ask_price(asked: PlanAsked) -> Response:
    """Has the plan's campaign planned as it is and changed, both with the same budget and seed, as its variants."""
    body, parsed = await asked.json()

    def act() -> Answer:
        question = _one_way(valid(ColourwayQuestion, parsed))
        text = plans.campaign_text(asked.service, asked.workshop_id, asked.plan_id)
        campaign = _budgeted(Campaign.model_validate_json(text), question)
        changed = _changed(campaign, question)
        ways = [_read(way, asked.service.settings.largest_budget) for way in (campaign, changed.campaign)]
        titled = list(zip(_titles(campaign.name, question), ways, strict=True))
        once = asked.once(body, partial(_both_ways, changed=changed))
        return plans.submit_variants(asked.service, once, asked.plan_id, titled)

    return await asked.answered(act)


@router.get(
    "/{plan_id}/colourway-price",
    response_model=ColourwayPrice,
    summary="What the changed colourways cost",
    responses=answers(NotFound, Conflict, Invalid),
)
def read_price(
    plan_id: PlanId,
    service: TheService,
    caller: Reader,
    changed: Annotated[str, Query(pattern=PATTERN, description="the plan with the changed colourways")],
) -> ColourwayPrice:
    """The changed plan less this one, as `result` of the question links to it."""
    made = []
    for row, newest in [plans.with_newest(service, caller.workshop_id, one) for one in (plan_id, changed)]:
        if row.status != "done" or newest is None:
            told = [Problem(**problem) for problem in row.problems]
            headers = {} if row.finished else {"Retry-After": "2"}
            raise Conflict(f"The plan `{row.title}` is {row.status}; there is no price yet.", told, headers)
        made.append(RunPlan.model_validate_json(newest[1]))
    try:
        return price(*made)
    except ValueError as error:
        raise Invalid(f"{error}.") from None


def _one_way(question: ColourwayQuestion) -> ColourwayQuestion:
    if (question.fewer is None) == (question.more is None):
        problem = Problem("", "`fewer` and `more` exclude each other, and one is needed", "send one of them")
        raise Invalid("One question at a time.", [problem])
    return question


def _budgeted(campaign: Campaign, question: ColourwayQuestion) -> Campaign:
    planning = campaign.planning.model_copy(
        update={"seconds": question.seconds, "rounds": question.rounds, "gap": 0.0, "aim": "cost"}
    )
    return campaign.model_copy(update={"planning": planning})


def _changed(campaign: Campaign, question: ColourwayQuestion) -> Changed:
    product = question.product
    if product is None:
        if len(campaign.products) > 1:
            known = ", ".join(f"`{name}`" for name in sorted(campaign.products))
            raise Invalid("Which product?", [Problem("/product", "the campaign has several", f"say one of {known}")])
        product = next(iter(campaign.products))
    try:
        if question.fewer is not None:
            return without(campaign, product, question.fewer.colourway, question.fewer.orders)
        assert question.more is not None
        more = question.more
        return with_another(campaign, product, more.colourway, more.parts, more.share, more.colours)
    except CampaignProblems as error:
        detail = "The changed campaign cannot be planned; pointers are into the campaign as it would be."
        raise InvalidCampaign(detail, error.problems[:100]) from None


def _read(campaign: Campaign, largest_budget: float) -> ReadCampaign:
    text = campaign.model_dump_json(by_alias=True, exclude_unset=True)
    return read_campaign(text.encode(), json.loads(text), largest_budget)


def _titles(name: str, question: ColourwayQuestion) -> list[str]:
    what = (
        f"without {question.fewer.colourway}" if question.fewer else f"with {question.more and question.more.colourway}"
    )
    return [f"{name[:160]}: {title}"[:200] for title in ("as it is", what)]


def _both_ways(rows: list[PlanRow], changed: Changed) -> Answer:
    as_it_is, other = (state(row) for row in rows)
    said = BothWays(
        as_it_is=as_it_is,
        changed=other,
        moved=changed.moved,
        orders_dropped=changed.orders_dropped,
        result=f"/v1/plans/{as_it_is.id}/colourway-price?changed={other.id}",
    )
    return json_answer(said.model_dump_json(), 202, {"Location": said.result, "Retry-After": "2"})

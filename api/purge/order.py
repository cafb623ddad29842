"""POST /v1/purge/order: the order of some colours that purges least, against light to dark."""

from itertools import pairwise

from anyio import to_thread
from fastapi import APIRouter, Request
from pydantic import Field

from api.http.access import REFUSALS, Reader
from api.http.bodies import BODY_REFUSALS
from api.http.problems import answers
from api.purge.forms import question_body
from api.purge.question import PurgeQuestion, answered, melts_of, read_question
from api.purge.schemas import NOTE, ColourChange, PurgeAnswer, colour_change
from api.service import TheService
from planner.purge.order import order_against_rule
from planner.purge.table import PurgeTable

router = APIRouter(prefix="/v1/purge", tags=["purge"], responses=answers(*REFUSALS))


class OrderSaid(PurgeAnswer):
    """An order of the melts and what it purges, the first change from what the barrel holds included."""

    melts: list[str]
    kg: float
    shots: int
    minutes: float
    money: float
    steps: list[ColourChange]


class BestOrder(PurgeAnswer):
    """The order that purges least, and the rule of thumb beside it."""

    currency: str
    holds: str | None
    best: OrderSaid
    proven: bool = Field(description="true: no order purges less; false: more than 14 melts, searched")
    light_to_dark: OrderSaid
    saved_kg: float = Field(description="light to dark less the best")
    note: str = NOTE


@router.post(
    "/order",
    response_model=BestOrder,
    summary="The order of some colours that purges least",
    openapi_extra=question_body(),
    responses=answers(*BODY_REFUSALS),
)
async def ask_order(request: Request, service: TheService, caller: Reader) -> BestOrder:
    """Each melt once, from what the barrel holds; nothing is recorded."""
    question = await read_question(request, service.settings.deepest_body)
    return await to_thread.run_sync(lambda: _ordered(question, answered(question, service, caller.workshop_id)))


def _ordered(question: PurgeQuestion, table: PurgeTable) -> BestOrder:
    names, held = melts_of(question), question.barrel.holds
    holds = names.index(held) if held else None
    asked = question.melts or [f"{question.resin}/{colour}" for colour in question.colours]
    found = order_against_rule(table.figures, [names.index(melt) for melt in asked], holds)
    return BestOrder(
        currency=question.prices.currency,
        holds=held,
        best=_said(table, names, found.best.sequence, holds, found.best.total),
        proven=found.best.proven,
        light_to_dark=_said(table, names, found.rule, holds, found.rule_kg),
        saved_kg=round(found.rule_kg - found.best.total, 3),
    )


def _said(table: PurgeTable, names: list[str], sequence: tuple[int, ...], holds: int | None, kg: float) -> OrderSaid:
    walked = sequence if holds is None else (holds, *sequence)
    steps = [colour_change(table, old, new) for old, new in pairwise(walked) if old != new]
    return OrderSaid(
        melts=[names[k] for k in sequence],
        kg=round(kg, 3),
        shots=sum(step.shots for step in steps),
        minutes=round(sum(step.minutes for step in steps), 2),
        money=round(sum(step.money for step in steps), 2),
        steps=steps,
    )

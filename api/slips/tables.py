"""POST /v1/plans/{id}/slip-table and /levers: worked out on all cores, streamed line by line as NDJSON."""

import json
import logging
from collections import defaultdict
from collections.abc import AsyncIterator
from typing import Annotated, Any

from anyio import to_thread
from fastapi import APIRouter, Request
from fastapi.responses import StreamingResponse
from pydantic import BaseModel, Field

from api.access import REFUSALS, Submitter
from api.bodies import BODY_REFUSALS, json_body, read_json, valid
from api.plans.finding import PlanId
from api.problems import Conflict, Invalid, NotFound, answers
from api.service import Service, TheService
from api.slips import fanout
from api.slips.parents import Made, made_plan
from planner.errors import Problem
from planner.slips.document import Cell, Lever, SlipRow
from planner.slips.levers import best, ideas
from planner.slips.slip import Kind, Slip, things
from planner.slips.study import ANEW_ROUNDS, POLICIES, SLIPS, Asked, in_order

router = APIRouter(prefix="/v1/plans", tags=["what if"], responses=answers(*REFUSALS))
log = logging.getLogger(__name__)
NDJSON = "application/x-ndjson"
Days = Annotated[int, Field(ge=1, le=365)]


class SlipQuestion(BaseModel):
    """What to look at; everything may be left out."""

    model_config = {"extra": "forbid"}
    slips: list[Days] = Field(default=list(SLIPS), min_length=1, max_length=12, description="calendar days")
    only: list[str] = Field(default=[], max_length=1500, description="tools and pieces to look at; none named: all")
    rounds: int = Field(default=ANEW_ROUNDS, ge=0, le=200, description="search rounds where planned anew")


class LeverQuestion(BaseModel):
    """What is wanted."""

    model_config = {"extra": "forbid"}
    tier: str | None = Field(default=None, max_length=40, description="the tier to bring forward; none: all together")


def _stream(what: str) -> dict[int | str, dict[str, Any]]:
    return {200: {"description": what, "content": {NDJSON: {"schema": {"type": "string"}}}}}


@router.post(
    "/{plan_id}/slip-table",
    summary="The slip table",
    response_class=StreamingResponse,
    openapi_extra=json_body(SlipQuestion),
    responses=_stream(
        "one JSON object a line: `begun` with the number of cells, then `cell` and `row` as they are worked out, in "
        "the end `table` with the names of all rows, worst first; `fault` where a cell could not be worked out"
    )
    | answers(NotFound, Conflict, Invalid, *BODY_REFUSALS),
)
async def slip_table(plan_id: PlanId, request: Request, service: TheService, caller: Submitter) -> StreamingResponse:
    """For every tool and bought-in piece: what a slip does to each tier's dates and to the cost, if nothing else
    changes and if the plan is made anew; every cell is a plan that was written out and audited."""
    _, parsed = await read_json(request, service.settings.largest_body_bytes, service.settings.deepest_body)
    question = valid(SlipQuestion, parsed)
    made = await to_thread.run_sync(_made, service, caller.workshop_id, plan_id)
    known = things(await to_thread.run_sync(lambda: made.campaign))
    unknown = sorted(set(question.only) - {name for _, name in known})
    if unknown:
        raise Invalid(
            "Nothing of that name can slip.",
            [Problem("/only", f"`{name}` is no tool and no piece that is still to come") for name in unknown],
        )
    wanted = [(kind, name) for kind, name in known if not question.only or name in question.only]
    return StreamingResponse(_table(made, question, wanted), media_type=NDJSON, headers={"Cache-Control": "no-store"})


def _made(service: Service, workshop_id: str, plan_id: str) -> Made:
    with service.database.read() as connection:
        return made_plan(connection, workshop_id, plan_id)


async def _table(made: Made, question: SlipQuestion, wanted: list[tuple[Kind, str]]) -> AsyncIterator[str]:
    days = sorted(set(question.slips))
    asked = [Asked(Slip(kind, name, d), policy) for kind, name in wanted for d in days for policy in POLICIES]
    yield _line("begun", {"cells": len(asked), "slips": days})
    key = (made.campaign_text, made.plan_text, question.rounds)
    cells: dict[tuple[Kind, str], list[Cell]] = defaultdict(list)
    rows: list[SlipRow] = []
    try:
        async for cell in fanout.spread(fanout.ask_cell, [(*key, one) for one in asked]):
            own = cells[cell.kind, cell.name]
            own.append(cell)
            yield _line("cell", cell.model_dump(mode="json"))
            if len(own) == len(days) * len(POLICIES):
                own.sort(key=lambda c: (c.days, POLICIES.index(c.policy)))
                async for row in fanout.spread(fanout.ask_row, [(*key, cell.kind, cell.name, own)]):
                    rows.append(row)
                    yield _line("row", row.model_dump(mode="json", exclude={"cells"}))
    except Exception:
        yield _fault("slip table")
        return
    yield _line("table", [{"kind": r.kind, "name": r.name, "verdict": r.verdict} for r in in_order(rows)])


@router.post(
    "/{plan_id}/levers",
    summary="What would help",
    response_class=StreamingResponse,
    openapi_extra=json_body(LeverQuestion),
    responses=_stream(
        "one JSON object a line: `begun` with the number of changes tried, `lever` for each that helps as it is "
        "planned, in the end `best`: up to ten, cheapest first"
    )
    | answers(NotFound, Conflict, Invalid, *BODY_REFUSALS),
)
async def levers(plan_id: PlanId, request: Request, service: TheService, caller: Submitter) -> StreamingResponse:
    """Changes that would bring a tier forward or cut waste, each planned and priced: send one's patch as a variant."""
    _, parsed = await read_json(request, service.settings.largest_body_bytes, service.settings.deepest_body)
    question = valid(LeverQuestion, parsed)
    made = await to_thread.run_sync(_made, service, caller.workshop_id, plan_id)
    campaign = await to_thread.run_sync(lambda: made.campaign)
    if question.tier is not None and question.tier not in campaign.tiers:
        raise Invalid("There is no such tier.", [Problem("/tier", f"`{question.tier}` is not among the tiers")])
    return StreamingResponse(_levers(made, question), media_type=NDJSON, headers={"Cache-Control": "no-store"})


async def _levers(made: Made, question: LeverQuestion) -> AsyncIterator[str]:
    tried = await to_thread.run_sync(lambda: ideas(made.campaign, made.plan))
    yield _line("begun", {"tried": len(tried)})
    found: list[Lever] = []
    try:
        asked = [(made.campaign_text, made.plan_text, idea, question.tier) for idea in tried]
        async for lever in fanout.spread(fanout.ask_lever, asked):
            if lever is not None and best([lever]):
                found.append(lever)
                yield _line("lever", lever.model_dump(mode="json", exclude={"comparison": {"runs"}}))
    except Exception:
        yield _fault("levers")
        return
    yield _line("best", [lever.model_dump(mode="json", exclude={"comparison"}) for lever in best(found)])


def _line(kind: str, value: Any) -> str:
    return json.dumps({kind: value}) + "\n"


def _fault(what: str) -> str:
    """The stream has begun, so its status cannot tell any more: its last line does."""
    log.exception("fault in %s", what)
    fanout.restart()
    return _line("fault", {"detail": "the service failed on this; what came before stands. Ask again."})

"""POST /v1/plans/{id}/update: the update for supporters, kept so that the next one can say what changed."""

import json
import time
from collections import Counter
from collections.abc import Callable
from datetime import date
from functools import partial
from typing import Annotated

from anyio import to_thread
from fastapi import APIRouter, Header, Request, Response
from pydantic import BaseModel, Field
from sqlalchemy import Connection

from api.actuals.entries import log_of
from api.http import negotiation
from api.http.access import REFUSALS, Submitter
from api.http.bodies import BODY_REFUSALS, fitting, json_body, read_json
from api.http.problems import Conflict, Invalid, NotAcceptable, NotFound, TooMany, Unavailable, answers
from api.plans.parameters import PlanId
from api.promises.promise import PromiseQuestion, promise_of
from api.promises.since import changes_since
from api.service import TheService
from api.services.made_plans import made_plan
from planner.actuals.entries import CameBack, Packed
from planner.promise.make import FLOORS, MOST_FLOORS
from planner.promise.update import Update, html, make_update, markdown
from worker.records import floor, reading

router = APIRouter(prefix="/v1/plans", tags=["promises"], responses=answers(*REFUSALS))
MARKDOWN, HTML, JSON = "text/markdown", "text/html", "application/json"


class UpdateWish(BaseModel):
    """What the update shall say; everything may be left out."""

    model_config = {"extra": "forbid"}
    title: str = Field(default="", max_length=200, description="none: the campaign's name")
    as_of: date | None = Field(default=None, description="none: the plan's first day")
    confidence: float = Field(default=0.8, ge=0.5, le=0.99)
    floors: int = Field(default=FLOORS, ge=100, le=MOST_FLOORS)
    changes: list[Annotated[str, Field(max_length=500)]] = Field(
        default=[],
        max_length=50,
        description="what the maker wants to add in own words; what the records say comes by itself",
    )
    keep: bool = Field(default=True, description="false: a draft; nothing is recorded")


@router.post(
    "/{plan_id}/update",
    response_model=Update,
    summary="Update for supporters",
    openapi_extra=json_body(UpdateWish),
    responses=answers(NotFound, Conflict, Invalid, NotAcceptable, TooMany, *BODY_REFUSALS)
    | negotiation.also_as(MARKDOWN, HTML),
)
async def update(
    plan_id: PlanId,
    request: Request,
    service: TheService,
    caller: Submitter,
    accept: Annotated[str | None, Header()] = None,
) -> Response:
    """Where things stand by tier with dates the simulation supports, and what changed since the last update that was
    kept, of this plan or of those it was made from: dates, and what the floor's log says happened. As JSON, Markdown or
    HTML, by `Accept`."""
    form = negotiation.choose(accept, [JSON, MARKDOWN, HTML])
    _, parsed = await read_json(request, service.settings.largest_body_bytes, service.settings.deepest_body)
    wish = await fitting(UpdateWish, parsed)
    question = PromiseQuestion(floors=wish.floors, confidence=wish.confidence)
    promise = await promise_of(service, caller.workshop_id, plan_id, question)
    if promise is None:
        raise Unavailable("The dates are still being simulated; ask again.", headers={"Retry-After": "5"})

    def make() -> Response:
        with service.database.read() as connection:
            made = made_plan(connection, caller.workshop_id, plan_id)
            told = floor.last_update(connection, caller.workshop_id, plan_id)
            packed = _packed(connection, caller.workshop_id, plan_id)
            since = changes_since(connection, caller.workshop_id, plan_id, told)
        last = Update.model_validate_json(told.document) if told else None
        campaign = made.campaign
        day = wish.as_of or campaign.start.date()
        made_update = make_update(wish.title or campaign.name, promise, day, packed, last, [*since, *wish.changes])
        if wish.keep:
            with service.database.write() as connection:
                made_plan(connection, caller.workshop_id, plan_id)
                floor.keep_update(connection, caller.workshop_id, plan_id, made_update.model_dump_json(), time.time())
        texts: dict[str, Callable[[], str]] = {
            JSON: made_update.model_dump_json, MARKDOWN: partial(markdown, made_update),
            HTML: partial(html, made_update),
        }  # fmt: skip
        return Response(texts[form](), 200, {"Vary": "Accept"}, form)

    return await to_thread.run_sync(make)


def _packed(connection: Connection, workshop_id: str, plan_id: str) -> dict[str, int]:
    """Tier -> parcels packed, over this plan and those it was planned again from."""
    packed: Counter[str] = Counter()
    here: str | None = plan_id
    seen: set[str] = set()
    while here is not None and here not in seen:
        seen.add(here)
        row = reading.find(connection, workshop_id, here)
        document = reading.campaign_document(connection, workshop_id, here)
        if row is None or document is None:
            break
        orders = json.loads(document)["orders"]
        for entry in log_of(connection, workshop_id, here):
            if isinstance(entry, Packed) and entry.line < len(orders):
                packed[orders[entry.line]["tier"]] += entry.parcels
            elif isinstance(entry, CameBack) and entry.again:
                tier = entry.order.tier if entry.order is not None else orders[entry.line]["tier"]
                packed[tier] -= entry.parcels
        here = row.parent_id
    return dict(packed)

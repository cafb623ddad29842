"""The update for supporters, kept so that the next one can say what changed; and those that were kept."""

from collections.abc import Callable
from datetime import date, datetime
from functools import partial
from typing import Annotated

from anyio import to_thread
from fastapi import APIRouter, Header, Request, Response
from pydantic import BaseModel, Field

from api.http import negotiation
from api.http.access import REFUSALS, Reader, Submitter
from api.http.bodies import BODY_REFUSALS, fitting, json_body, read_json
from api.http.moments import moment
from api.http.problems import answers
from api.plans.parameters import PlanId
from api.promises.question import PromiseQuestion, promise_of
from api.service import TheService
from api.service.refusals import Conflict, Invalid, NotAcceptable, NotFound, TooMany, Unavailable
from api.services import updates
from planner.promise.document import CONFIDENCE
from planner.promise.make import MOST_REPLICATIONS, REPLICATIONS
from planner.promise.update import Update
from planner.promise.update_text import html, markdown

router = APIRouter(prefix="/v1/plans", tags=["promises"], responses=answers(*REFUSALS))
MARKDOWN, HTML, JSON = "text/markdown", "text/html", "application/json"


class UpdateWish(BaseModel):
    """What the update shall say; everything may be left out."""

    model_config = {"extra": "forbid"}
    title: str = Field(default="", max_length=200, description="none: the campaign's name")
    as_of: date | None = Field(default=None, description="none: the plan's first day")
    confidence: float = Field(default=CONFIDENCE, ge=0.5, le=0.99)
    replications: int = Field(alias="floors", default=REPLICATIONS, ge=100, le=MOST_REPLICATIONS)
    changes: list[Annotated[str, Field(max_length=500)]] = Field(
        default=[],
        max_length=50,
        description="what the maker wants to add in own words; what the records say comes by itself",
    )
    text: str = Field(
        default="", max_length=50_000, description="as it is sent, where the maker wrote it anew; none: as made here"
    )
    keep: bool = Field(default=True, description="false: a draft; nothing is recorded")


class SentUpdate(BaseModel):
    """An update that was kept."""

    plan: str = Field(description="of which plan: this one, or one that it was made from")
    sent_at: datetime
    update: Update


class SentUpdates(BaseModel):
    """What supporters were told, the newest first."""

    updates: list[SentUpdate]


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
    """Broken promises first, measured against what was promised and what was announced last; then where things stand by
    tier with dates the simulation supports, and what changed since the last update that was kept, of this plan or of
    those it was made from: dates, and what the floor's log says happened. As JSON, Markdown or HTML, by `Accept`."""
    form = negotiation.choose(accept, [JSON, MARKDOWN, HTML])
    _, parsed = await read_json(request, service.settings.largest_body_bytes, service.settings.deepest_body)
    wish = await fitting(UpdateWish, parsed)
    question = PromiseQuestion(floors=wish.replications, confidence=wish.confidence)
    promise = await promise_of(service, caller.workshop_id, plan_id, question)
    if promise is None:
        raise Unavailable("The dates are still being simulated; ask again.", headers={"Retry-After": "5"})

    def make() -> Response:
        standing = updates.standing(service, caller.workshop_id, plan_id)
        day = wish.as_of or standing.made.campaign.start.date()
        made = standing.update(wish.title, promise, day, wish.changes).model_copy(update={"text": wish.text})
        if wish.keep:
            updates.keep(service, caller.workshop_id, plan_id, made)
        texts: dict[str, Callable[[], str]] = {
            JSON: made.model_dump_json, MARKDOWN: partial(markdown, made), HTML: partial(html, made),
        }  # fmt: skip
        return Response(texts[form](), 200, {"Vary": "Accept"}, form)

    return await to_thread.run_sync(make)


@router.get(
    "/{plan_id}/updates",
    response_model=SentUpdates,
    summary="List updates that were sent",
    responses=answers(NotFound),
)
def sent_updates(plan_id: PlanId, service: TheService, caller: Reader) -> SentUpdates:
    """What supporters were told of this plan and of those it was made from, as it was sent."""
    kept = updates.sent(service, caller.workshop_id, plan_id)
    return SentUpdates(
        updates=[SentUpdate(plan=one.plan_id, sent_at=moment(one.at), update=one.update) for one in kept]
    )

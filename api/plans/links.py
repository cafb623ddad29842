"""/v1/plans/{id}/links: a plan shown to somebody without a key, for a while."""

from datetime import datetime
from typing import Annotated

from anyio import to_thread
from fastapi import APIRouter, Path, Request, Response
from pydantic import BaseModel, Field

from api.http.access import REFUSALS, Submitter
from api.http.bodies import BODY_REFUSALS, fitting, json_body, read_json
from api.http.idempotency import IdempotencyKey
from api.http.moments import moment
from api.http.problems import answers
from api.http.shown_once import ShownOnce
from api.plans.parameters import PlanId
from api.service import TheService
from api.service.refusals import Invalid, NotFound, TooMany
from api.services import shared_links
from api.services.shared_links import LinkWanted, NewLink
from api.serving.reach import reached_at
from worker.records.ids import PATTERN
from worker.records.shared_links import LinkRow, May

router = APIRouter(prefix="/v1/plans", tags=["sharing"], responses=answers(*REFUSALS))
LinkId = Annotated[str, Path(pattern=PATTERN)]
LONGEST_DAYS = 400


class LinkWish(BaseModel):
    """A link to be made."""

    model_config = {"extra": "forbid"}
    may: May = Field(description="read: the plan, its runs, pictures and paper; log: the page at the press only")
    label: str = Field(min_length=1, max_length=200, description="for whom it is")
    days: int = Field(default=30, ge=1, le=LONGEST_DAYS, description="it opens something for so long")


class LinkState(BaseModel):
    """A link without its secret."""

    id: str
    may: May
    label: str
    made_by: str
    created_at: datetime
    ends_at: datetime
    revoked_at: datetime | None
    opened_at: datetime | None = Field(description="when somebody last followed it")


class MadeLink(LinkState):
    """address: to be handed on; shown this once and never again (null in a repeated answer)."""

    address: str | None


class LinkList(BaseModel):
    """The newest first, those too that open nothing any more."""

    links: list[LinkState]


@router.post(
    "/{plan_id}/links",
    status_code=201,
    response_model=MadeLink,
    summary="Make a link to a plan",
    openapi_extra=json_body(LinkWish),
    responses=answers(NotFound, TooMany, *BODY_REFUSALS),
)
async def make_link(
    plan_id: PlanId, request: Request, service: TheService, caller: Submitter, idempotency_key: IdempotencyKey = None
) -> Response:
    """It opens this plan without a key, to be read or to write into its log at the press, until it ends or is revoked.
    Orders, and what people were told, it does not open."""
    body, parsed = await read_json(request, 10_000, service.settings.deepest_body)
    wish = await fitting(LinkWish, parsed)
    asked = f"{request.url.scheme}://{request.url.netloc}"

    def said(made: NewLink) -> tuple[LinkState, str]:
        return _state(made.row), f"{reached_at(service.settings, asked) or asked}/s/{made.secret}"

    shown = ShownOnce("address")
    once = shown.once(caller.workshop_id, idempotency_key, (request.url.path, body), said)
    wanted = LinkWanted(plan_id, wish.may, wish.label, wish.days)
    return shown.response(await to_thread.run_sync(shared_links.make, service, once, wanted))


@router.get("/{plan_id}/links", response_model=LinkList, summary="List a plan's links", responses=answers(NotFound))
def list_links(plan_id: PlanId, service: TheService, caller: Submitter) -> LinkList:
    """Without their secrets, which nobody has any more."""
    return LinkList(links=[_state(row) for row in shared_links.of_plan(service, caller.workshop_id, plan_id)])


@router.delete(
    "/{plan_id}/links/{link_id}", status_code=204, summary="Revoke a link", responses=answers(NotFound, Invalid)
)
def revoke_link(plan_id: PlanId, link_id: LinkId, service: TheService, caller: Submitter) -> Response:
    """From the next request on it opens nothing. Revoking twice is revoking once."""
    shared_links.revoke(service, caller.workshop_id, plan_id, link_id)
    return Response(status_code=204)


def _state(row: LinkRow) -> LinkState:
    def at(seconds: float | None) -> datetime | None:
        return None if seconds is None else moment(seconds)

    return LinkState(
        id=row.id,
        may=row.may,
        label=row.label,
        made_by=row.made_by,
        created_at=moment(row.created_at),
        ends_at=moment(row.ends_at),
        revoked_at=at(row.revoked_at),
        opened_at=at(row.opened_at),
    )

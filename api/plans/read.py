"""GET /v1/plans: lists, plans, campaigns."""

from typing import Annotated, Literal

from fastapi import APIRouter, Header, Query, Response

from api.exports.csv_lists import csv_bytes
from api.exports.plan_lists import plan_lists
from api.http import negotiation
from api.http.access import REFUSALS, Reader
from api.http.problems import answers
from api.pictures.floor import floor_svg
from api.plans import editions
from api.plans.cursors import PageAsked
from api.plans.parameters import PlanId
from api.plans.responses import plan_response
from api.plans.schemas import PlanAnswer, PlanPage, Status, etag, state
from api.service import TheService
from api.service.refusals import BadRequest, Conflict, Invalid, NotAcceptable, NotFound
from api.services import plans
from api.services.published import find_published
from api.services.standing_promise import how_sure
from planner.campaign import Campaign
from worker.records.reading import Listed

router = APIRouter(prefix="/v1/plans", tags=["plans"], responses=answers(*REFUSALS))
JSON, CSV, SVG = "application/json", "text/csv", "image/svg+xml"
LISTS = {"runs": "Runs", "packs": "Pack-out"}
"""What `list` may say -> the list's name."""


@router.get("", response_model=PlanPage, summary="List plans", responses=answers(BadRequest, Invalid))
def list_plans(
    service: TheService,
    caller: Reader,
    asked: PageAsked,
    status: Annotated[Status | None, Query()] = None,
    title: Annotated[str | None, Query(max_length=200, pattern=r"^[^\x00]*$")] = None,
    parent: Annotated[str | None, Query(max_length=40, pattern="^[0-9a-z]*$")] = None,
) -> PlanPage:
    """The workshop's plans, newest first, without the run plans themselves."""
    rows = plans.page(service, caller.workshop_id, asked.wanted, asked.before, Listed(status, title, parent))
    shown, following = asked.shown(rows, "/v1/plans", status=status, title=title, parent=parent)
    return PlanPage(plans=[state(row) for row in shown], next=following)


@router.get(
    "/{plan_id}",
    response_model=PlanAnswer,
    summary="Read a plan",
    responses=answers(NotFound, NotAcceptable, Conflict, Invalid)
    | negotiation.also_as(CSV, SVG)
    | {304: {"description": "you have it as it is"}},
)
def read_plan(
    plan_id: PlanId,
    service: TheService,
    caller: Reader,
    accept: Annotated[str | None, Header()] = None,
    if_none_match: Annotated[str | None, Header()] = None,
    list_: Annotated[Literal["runs", "packs"], Query(alias="list", description="which list text/csv gives")] = "runs",
) -> Response:
    """Status and progress while the plan is being made, the run plan as soon as there is one.

    With `Accept: text/csv`: the run list, or with `?list=packs` the pack list. With `Accept: image/svg+xml`: its floor
    over time; `/pictures` names the other pictures.
    """
    form = negotiation.choose(accept, [JSON, CSV, SVG])
    if form == JSON:
        row, newest = plans.with_newest(service, caller.workshop_id, plan_id)
        if editions.unchanged(if_none_match, row):
            return Response(status_code=304, headers={"ETag": etag(row)})
        return plan_response(row, newest)
    if form == SVG:
        shown = find_published(service, caller.workshop_id, plan_id)
        sure = how_sure(service, caller.workshop_id, plan_id, shown.revision).tiers
        return Response(floor_svg(shown.plan, shown.campaign, sure=sure), 200, {"Vary": "Accept"}, SVG)
    shown = find_published(service, caller.workshop_id, plan_id)
    headings, rows = plan_lists(shown.campaign, shown.plan)[LISTS[list_]]
    headers = {"Content-Disposition": f'attachment; filename="{list_}.csv"', "Vary": "Accept"}
    return Response(b"".join(csv_bytes(headings, rows)), 200, headers, "text/csv; charset=utf-8")


@router.get(
    "/{plan_id}/campaign",
    response_model=Campaign,
    summary="The campaign a plan is made from",
    responses=answers(NotFound),
)
def read_campaign_of(plan_id: PlanId, service: TheService, caller: Reader) -> Response:
    """As it was sent."""
    return Response(plans.campaign_text(service, caller.workshop_id, plan_id), media_type="application/json")

"""GET /v1/plans/{id}/pictures: the plan as pictures, each a representation of its own."""

from collections.abc import Callable
from datetime import date
from typing import Annotated, Literal

from fastapi import APIRouter, Depends, Query, Response
from pydantic import BaseModel

from api.http import negotiation
from api.http.access import REFUSALS, Reader
from api.http.problems import answers
from api.http.sheets import AskedWritten
from api.pictures.cost import cost_svg
from api.pictures.curves import curves_svg
from api.pictures.dispatches import dispatch_svg
from api.pictures.floor import Window, floor_svg
from api.pictures.path import path_svg
from api.pictures.slips import slips_svg
from api.pictures.stock import stock_svg
from api.plans.parameters import PlanId, RevisionNumber
from api.service import TheService
from api.service.refusals import Conflict, Invalid, NotFound
from api.services import studies
from api.services.published import Published, find_published
from api.services.standing_promise import Sure, how_sure
from planner.errors import Problem
from planner.slips.document import SlipTable

router = APIRouter(prefix="/v1/plans", tags=["pictures"], responses=answers(*REFUSALS))
MEDIA_TYPE = "image/svg+xml"
Name = Literal["floor", "path", "stock", "dispatches", "cost", "curves"]
SLIPS = "what a slip of each tool and piece does to each tier: days later, broken promises marked"
WHAT: dict[Name, str] = {
    "floor": "the floor over time: runs in the product's colours, changeovers and purge, benches, pick-ups, "
    "promises and how sure they are",
    "path": "the way each barrel goes through the colours, and what each step wastes",
    "stock": "good parts in hand over time",
    "dispatches": "how much of each tier has left over time, with the band from P50 to P95 once it is simulated",
    "cost": "the cost line by line, and the proven bound on it",
    "curves": "how sharp each sampling plan is: how often a lot is accepted, by its share of bad pieces",
}
DRAWN: dict[Name, Callable[[Published, Window, dict[str, Sure]], str]] = {
    "floor": lambda shown, window, sure: floor_svg(shown.plan, shown.campaign, window, sure),
    "path": lambda shown, window, _: path_svg(shown.plan, shown.campaign, window.width),
    "stock": lambda shown, window, _: stock_svg(shown.plan, shown.campaign, window),
    "dispatches": lambda shown, window, sure: dispatch_svg(shown.plan, window, sure),
    "cost": lambda shown, window, _: cost_svg(shown.plan, window.width),
    "curves": lambda shown, window, _: curves_svg(shown.plan, window.width),
}


class Picture(BaseModel):
    """A picture there is of this plan."""

    name: str
    shows: str
    href: str


class Pictures(BaseModel):
    """All pictures there are of this plan."""

    pictures: list[Picture]


@router.get(
    "/{plan_id}/pictures", response_model=Pictures, summary="List a plan's pictures", responses=answers(NotFound)
)
def list_pictures(plan_id: PlanId, service: TheService, caller: Reader) -> Pictures:
    """What there is to see."""
    here = f"/v1/plans/{plan_id}/pictures"
    find_published(service, caller.workshop_id, plan_id)
    shown = [Picture(name=n, shows=text, href=f"{here}/{n}.svg") for n, text in WHAT.items()]
    if studies.newest_document(service, caller.workshop_id, plan_id, "slip-table") is not None:
        shown.append(Picture(name="slips", shows=SLIPS, href=f"{here}/slips.svg"))
    return Pictures(pictures=shown)


@router.get(
    "/{plan_id}/pictures/slips.svg",
    summary="Read the slip table as a picture",
    response_class=Response,
    responses=answers(NotFound, Conflict, Invalid) | negotiation.also_as(MEDIA_TYPE),
)
def read_slips(
    plan_id: PlanId,
    service: TheService,
    caller: Reader,
    written: AskedWritten,
    width: Annotated[int, Query(ge=320, le=4000)] = 1200,
) -> Response:
    """The newest slip table that is worked out; `/v1/studies/{id}` gives each one's, also while it is being made."""
    table = studies.newest_document(service, caller.workshop_id, plan_id, "slip-table")
    if table is None:
        raise Conflict("No slip table of this plan is worked out; ask `slip-table` for it.")
    written.begin()
    svg = slips_svg(SlipTable.model_validate_json(table), float(width))
    return Response(svg, 200, {"Cache-Control": "no-cache"}, MEDIA_TYPE)


def window_asked(
    first: Annotated[date | None, Query(alias="from", description="first day shown; none: the plan's")] = None,
    days: Annotated[int | None, Query(ge=1, le=400, description="days shown; none: all")] = None,
    press: Annotated[list[str] | None, Query(max_length=200, description="presses shown; none: all")] = None,
    width: Annotated[int, Query(ge=320, le=4000, description="width of the drawing, user units")] = 1200,
) -> Window:
    """What the query says is to be shown."""
    return Window(first, days, tuple(press or ()), float(width))


@router.get(
    "/{plan_id}/pictures/{name}.svg",
    summary="Read a picture of a plan",
    response_class=Response,
    responses=answers(NotFound, Conflict, Invalid) | negotiation.also_as(MEDIA_TYPE),
)
def read_picture(
    plan_id: PlanId,
    name: Name,
    service: TheService,
    caller: Reader,
    window: Annotated[Window, Depends(window_asked)],
    written: AskedWritten,
    revision: RevisionNumber = None,
) -> Response:
    """SVG 1.1 without script, style sheet or anything fetched; texts that explain stand in `title` elements."""
    shown = find_published(service, caller.workshop_id, plan_id, revision)
    if unknown := sorted(set(window.presses) - set(shown.campaign.presses)):
        known = ", ".join(shown.campaign.presses)
        problems = [Problem("press", f"there is no press `{one}`", f"use {known}") for one in unknown]
        raise Invalid("Parameters or headers do not fit.", problems)
    sure = how_sure(service, caller.workshop_id, plan_id, shown.revision).tiers or {}
    written.begin()
    svg = DRAWN[name](shown, window, sure)
    return Response(svg, 200, {"Cache-Control": "no-cache"}, MEDIA_TYPE)

"""What one colourway more, or one fewer, costs: asked, waited for, shown."""

import json
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request, Response
from fastapi.responses import RedirectResponse

from api.http.forms import SentForm
from api.pages import shorthand
from api.pages.api_client import Answered, ask
from api.pages.auth import PageMaker, PageReader, PageRoute
from api.pages.shorthand import Names
from api.pages.templating import of_plan, page
from api.pages.typed import amount
from api.plans.parameters import PlanId
from api.service import TheService
from api.services.published import Published, find_published
from planner.campaign.base import tidy
from planner.colourways.price import ColourwayPrice
from worker.records.ids import PATTERN

router = APIRouter(prefix="/plans", route_class=PageRoute, include_in_schema=False)


@router.get("/{plan_id}/colourway")
def question(
    plan_id: PlanId,
    request: Request,
    service: TheService,
    caller: PageReader,
    changed: Annotated[str | None, Query(pattern=PATTERN)] = None,
    base: Annotated[str | None, Query(pattern=PATTERN)] = None,
) -> Response:
    """The question; once both ways are planned, the price. changed, base: the two plans."""
    shown = find_published(service, caller.workshop_id, plan_id)
    said, waiting = None, []
    if changed and base:
        ways = [ask(request, "GET", f"/v1/plans/{one}").json() for one in (base, changed)]
        waiting = [way for way in ways if way["status"] != "done"]
        if not waiting:
            answer = ask(request, "GET", f"/v1/plans/{base}/colourway-price?changed={changed}")
            said = ColourwayPrice.model_validate_json(answer.content)
    return _shown(shown, {}, {}, said, waiting)


@router.post("/{plan_id}/colourway")
def ask_price(plan_id: PlanId, request: Request, service: TheService, caller: PageMaker, form: SentForm) -> Response:
    """Has both ways planned."""
    shown = find_published(service, caller.workshop_id, plan_id)
    typed = {name: value.strip() for name, value in form.items() if isinstance(value, str)}
    problems: dict[str, str] = {}
    wish = _dropped(shown, typed) if typed.get("do") == "fewer" else _added(shown, typed, problems)
    if not problems:
        try:
            answer = ask(request, "POST", f"/v1/plans/{plan_id}/colourway-price", wish).json()
            base, changed = answer["as_it_is"]["id"], answer["changed"]["id"]
            return RedirectResponse(f"/plans/{plan_id}/colourway?base={base}&changed={changed}", 303)
        except Answered as refused:
            problems["gone" if typed.get("do") == "fewer" else "colours"] = refused.told
    return _shown(shown, typed, problems, None, [], 422)


def _dropped(shown: Published, typed: dict[str, str]) -> dict[str, Any]:
    product, colourway = next(
        ((p, way) for p, its in shown.campaign.products.items() for way in its.colourways
         if _gone(p, way) == typed.get("gone", "")),
        ("", ""),
    )  # fmt: skip
    return {"product": product, "fewer": {"colourway": colourway, "orders": typed.get("orders", "move")}}


def _gone(product: str, colourway: str) -> str:
    """What the form sends of a colourway that is given up: names may hold any mark between them."""
    return json.dumps([product, colourway], ensure_ascii=False)


def _added(shown: Published, typed: dict[str, str], problems: dict[str, str]) -> dict[str, Any]:
    """The new colourway: its colours as typed in the form that grows."""
    products = shown.campaign.products
    product = typed.get("product", "")
    name = tidy(typed.get("name", ""))
    if product not in products:
        product = next(iter(products))
    if not name:
        problems["name"] = "give it a name"
    parts: dict[str, list[str]] = {}
    try:
        said = shorthand.colours(typed.get("colours", ""), Names(shown.campaign.parts), Names(shown.campaign.colours))
        chosen = said.of(list(products[product].parts))
        for part, colours in chosen.items():
            barrels = len(shown.campaign.parts[part].barrels)
            parts[part] = colours * barrels if len(colours) == 1 else colours
    except ValueError as error:
        problems["colours"] = str(error)
    more: dict[str, Any] = {"colourway": name, "parts": parts}
    if share := typed.get("share", ""):
        per_cent = amount(share, "share", problems, "percent")
        if per_cent is not None:
            more["share"] = per_cent / 100
    return {"product": product, "more": more}


def _shown(
    shown: Published,
    typed: dict[str, str],
    problems: dict[str, str],
    said: ColourwayPrice | None,
    waiting: list[dict[str, Any]],
    status: int = 200,
) -> Response:
    products = shown.campaign.products
    several = len(products) > 1
    gone = [
        (_gone(product, way), f"{product}, {way}" if several else way)
        for product, its in products.items()
        if len(its.colourways) > 1
        for way in its.colourways
    ]
    return page(
        "colourway.html",
        status,
        here="what-if",
        leaf="colourway",
        **of_plan(shown),
        campaign=shown.campaign,
        gone=gone,
        products=[(name, name) for name in products],
        typed=typed,
        problems=problems,
        said=said,
        waiting=waiting,
    )

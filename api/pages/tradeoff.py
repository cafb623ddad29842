"""Waste against dates: the campaign planned at several rates of exchange, and what a day costs in kilograms."""

from typing import Annotated

from fastapi import APIRouter, Form, Query, Request, Response
from fastapi.responses import RedirectResponse

from api.pages.api_client import ask
from api.pages.auth import PageMaker, PageReader, PageRoute
from api.pages.templating import of_plan, page
from api.plans.parameters import PlanId
from api.service import TheService
from api.services.published import find_published
from planner.frontier.document import Frontier

router = APIRouter(prefix="/plans", route_class=PageRoute, include_in_schema=False)
Plans = Annotated[str, Query(max_length=600, pattern="^([0-9a-z]{1,40}(,[0-9a-z]{1,40})*)?$")]
SECONDS = (5, 10, 30, 120)
"""Planning time a point may get, to choose from."""


@router.get("/{plan_id}/trade-off")
def trade_off(
    plan_id: PlanId, request: Request, service: TheService, caller: PageReader, plans: Plans = ""
) -> Response:
    """The question, and the plans that are made side by side."""
    shown = find_published(service, caller.workshop_id, plan_id)
    said = None
    if plans:
        answer = ask(request, "GET", f"/v1/plans/{plan_id}/frontier?plans={plans}")
        said = Frontier.model_validate_json(answer.content)
    return page(
        "trade_off.html",
        here="what-if",
        leaf="trade-off",
        **of_plan(shown),
        said=said,
        plans=plans,
        waits=said is not None and said.waiting > 0,
        seconds=SECONDS,
    )


@router.post("/{plan_id}/trade-off")
def ask_trade_off(
    plan_id: PlanId, request: Request, caller: PageMaker, seconds: Annotated[float, Form(gt=0, le=600)] = 10
) -> Response:
    """Has the points planned."""
    answer = ask(request, "POST", f"/v1/plans/{plan_id}/frontier", {"seconds": seconds})
    plans = ",".join(one["id"] for one in answer.json()["plans"])
    return RedirectResponse(f"/plans/{plan_id}/trade-off?plans={plans}", 303)

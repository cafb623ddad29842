"""The floor over time: zoomed, turned to a week or a day, for some presses; alone on a page, or on the plan's."""

from fastapi import APIRouter, Response

from api.pages.auth import PageReader, PageRoute
from api.pages.floor_window import FloorWindow, floor_shown
from api.pages.templating import of_plan, page
from api.plans.parameters import PlanId
from api.service import TheService
from api.services.published import find_published
from api.services.standing_promise import how_sure

router = APIRouter(prefix="/plans", route_class=PageRoute, include_in_schema=False)


@router.get("/{plan_id}/floor")
def floor_page(plan_id: PlanId, service: TheService, caller: PageReader, window: FloorWindow) -> Response:
    """The picture alone, as large as the window: for a wall, and for the script that zooms it."""
    shown = find_published(service, caller.workshop_id, plan_id)
    sure = how_sure(service, caller.workshop_id, plan_id, shown.revision)
    return page(
        "floor.html",
        here="plan",
        **of_plan(shown),
        campaign=shown.campaign,
        **floor_shown(shown, window, sure.tiers),
    )

"""The part of the floor's picture that is asked for, and the section that shows it."""

from datetime import date
from typing import Annotated, Any

from fastapi import Depends, Query

from api.languages.reading import now_reading
from api.pages.templating import drawn
from api.pages.weeks import days_of, weeks_of
from api.pictures.floor import UNZOOMED, Links, Window, floor_svg
from api.services.published import Published
from api.services.standing_promise import Sure

ZOOMS = (1, 2, 4, 8)
"""Offered where no script runs: how many times as wide the sheet is drawn."""


def window_of(
    first: Annotated[date | None, Query(alias="from")] = None,
    days: Annotated[int | None, Query(ge=1, le=400)] = None,
    press: Annotated[list[str] | None, Query(max_length=200)] = None,
    zoom: Annotated[float, Query(ge=1, le=12)] = 1,
) -> Window:
    """What of the plan a page's address asks to see."""
    return Window(first, days, tuple(press or ()), UNZOOMED * zoom)


FloorWindow = Annotated[Window, Depends(window_of)]


def floor_shown(shown: Published, window: Window, sure: dict[str, Sure] | None) -> dict[str, Any]:
    """What the section with the picture says. sure: by tier, once simulated."""
    links = Links(f"/plans/{shown.row.id}/runs", f"/plans/{shown.row.id}/parcels")
    return {
        "window": window,
        "zoom": window.width / UNZOOMED,
        "zooms": ZOOMS,
        "weeks": weeks_of(shown.plan),
        "days_shown": days_of(window),
        "floor": drawn(
            lambda: shown.picture(
                ("floor", window, str(sure), now_reading()),
                lambda: floor_svg(shown.plan, shown.campaign, window, sure, links),
            )
        ),
    }

"""The first page: the workshop's campaigns, and the ways to start another."""

import time
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Query, Response

from api.languages import wording
from api.pages.auth import PageReader, PageRoute
from api.pages.templating import STATIC, page
from api.plans.cursors import read_cursor, write_cursor
from api.service import TheService
from api.service.refusals import NotFound
from api.services import moulding_campaigns
from worker.records.moulding_campaigns import Shelf

router = APIRouter(route_class=PageRoute, include_in_schema=False)
_SHOWN = 30
_BY_NAME = 300


@router.get("/")
def home(
    service: TheService,
    caller: PageReader,
    cursor: Annotated[str | None, Query(max_length=200)] = None,
    q: Annotated[str, Query(max_length=200, pattern=r"^[^\x00]*$")] = "",
    sort: Literal["new", "name"] = "new",
    shelf: Shelf = "current",
    said: Annotated[str, Query(max_length=20)] = "",
) -> Response:
    """Campaigns, newest first: each with its newest plan."""
    before = read_cursor(cursor) if cursor else None
    most = _SHOWN if sort == "new" else _BY_NAME
    rows = moulding_campaigns.page(
        service, caller.workshop_id, most + 1, before, shelf, q.strip(), by_name=sort == "name"
    )
    more = write_cursor(rows[most - 1].created_at, rows[most - 1].id) if len(rows) > most and sort == "new" else None
    shown: dict[str, Any] = {"q": q.strip(), "sort": sort, "shelf": shelf, "said": said, "ago": _ago}
    owner = moulding_campaigns.owner_of_list(service, caller.workshop_id)
    return page("home.html", owner=owner, campaigns=rows[:most], more=more, later=cursor is not None, **shown)


def _ago(created_at: float) -> str:
    """How long ago, which needs no time zone: `12 min`."""
    return wording.duration(max(0.0, time.time() - created_at))


@router.get("/static/{name}")
def static_file(name: str) -> Response:
    """Under a name that changes with the content, so it may be kept for good."""
    if name not in STATIC:
        raise NotFound("There is no such file.")
    content, kind = STATIC[name]
    return Response(content, 200, {"Cache-Control": "public, max-age=31536000, immutable"}, kind)

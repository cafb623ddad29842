"""The first page: the workshop's plans, and the ways to start another."""

import time
from typing import Annotated

from fastapi import APIRouter, Query, Response

from api import wording
from api.pages.door import PageReader, PageRoute
from api.pages.dress import STATIC, page
from api.plans.cursors import read_cursor, write_cursor
from api.problems import NotFound
from api.service import TheService
from worker.records import reading

router = APIRouter(route_class=PageRoute, include_in_schema=False)
_SHOWN = 30


@router.get("/")
def home(
    service: TheService, caller: PageReader, cursor: Annotated[str | None, Query(max_length=200)] = None
) -> Response:
    """Plans, newest first."""
    before = read_cursor(cursor) if cursor else None
    with service.database.read() as connection:
        rows = reading.page(connection, caller.workshop_id, _SHOWN + 1, before)
    more = write_cursor(rows[_SHOWN - 1].created_at, rows[_SHOWN - 1].id) if len(rows) > _SHOWN else None
    return page("home.html", plans=rows[:_SHOWN], more=more, later=cursor is not None, ago=_ago)


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

"""A plan's calendar as a file."""

from datetime import UTC, datetime
from typing import Annotated, Literal

from fastapi import Query, Response

from api.exports.calendar import calendar_bytes
from api.exports.plan_events import key_events, plan_events
from api.service import Service, TheService
from api.services import plans
from api.services.published import Published

What = Annotated[
    Literal["key", "all"],
    Query(description="key: days to order by, steps on tools, pick-ups, moulding's first and last day; all: runs too"),
]


def calendar_of(service: Service, workshop_id: str, shown: Published, what: What) -> Response:
    """The plan's calendar as an answer."""
    made = datetime.fromtimestamp(_made_at(service, workshop_id, shown), UTC)
    events = key_events(shown.plan) if what == "key" else plan_events(shown.plan)
    content = calendar_bytes(shown.plan.name, events, made)
    return Response(content, 200, named(shown, "ics"), "text/calendar; charset=utf-8")


def named(shown: Published, ending: str) -> dict[str, str]:
    return {"Content-Disposition": f'attachment; filename="plan-{shown.row.id}-{shown.revision}.{ending}"'}


def _made_at(service: TheService, workshop_id: str, shown: Published) -> float:
    return next(r.made_at for r in plans.revisions(service, workshop_id, shown.row.id) if r.number == shown.revision)

"""Wishes tried in a plan of their own: what they cost there, and how they come into the plan it was made from."""

import json
from typing import Any

from fastapi import APIRouter, Response
from fastapi.responses import RedirectResponse

from api.pages.auth import PageMaker, PageRoute
from api.pages.sending import checked
from api.plans.parameters import PlanId
from api.service import TheService
from api.services import orders, plans
from api.services.published import find_published
from api.services.tried_wishes import tried

router = APIRouter(prefix="/plans", route_class=PageRoute, include_in_schema=False)


@router.post("/{plan_id}/wishes/take")
def take(plan_id: PlanId, service: TheService, caller: PageMaker) -> Response:
    """What was tried here becomes part of the plan it was tried for: its next revision, from this order of work on."""
    shown = find_published(service, caller.workshop_id, plan_id)
    found = tried(service, caller.workshop_id, shown)
    if found is not None:
        parent = found.parent.row.id
        own: dict[str, Any] = json.loads(plans.campaign_text(service, caller.workshop_id, plan_id))
        row, text = plans.standing(service, caller.workshop_id, parent)
        document: dict[str, Any] = json.loads(text)
        listed = [*document.get("wishes", []), *(own["wishes"][line.wish] for line in found.lines)]
        changed = document | {"wishes": listed}
        checked(service, json.dumps(changed, ensure_ascii=False).encode())
        if made := orders.plan_changed(service, caller.workshop_id, parent, changed, row.revision, shown.plan):
            return RedirectResponse(f"/plans/{made}", 303)
    return RedirectResponse(f"/plans/{plan_id}", 303)

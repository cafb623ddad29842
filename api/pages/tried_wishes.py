"""Wishes tried in a plan of their own: what they cost there, and how they come into the plan it was made from."""

import json
from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Response
from fastapi.responses import RedirectResponse

from api.pages.auth import PageMaker, PageRoute
from api.pages.starting import checked
from api.plans.parameters import PlanId
from api.service import Service, TheService
from api.service.refusals import Conflict, NotFound
from api.services import orders, plans
from api.services.published import Published, find_published
from planner.plan.document import WishKept
from planner.slips.compare import tier_changes

router = APIRouter(prefix="/plans", route_class=PageRoute, include_in_schema=False)


@dataclass(frozen=True)
class Tried:
    """What a plan wishes beyond the one it was made from. more: money it costs more than that one as it stands.

    later: tier, and days by which its last parcel leaves later."""

    parent: Published
    lines: list[WishKept]
    more: float
    later: list[tuple[str, int]]

    @property
    def kept(self) -> bool:
        """Whether all of it can be had."""
        return all(line.kept for line in self.lines)


def tried(service: Service, workshop_id: str, shown: Published) -> Tried | None:
    """None where a plan was made from none, wishes nothing more, or the other one is gone or being made anew."""
    if shown.row.parent_id is None or not shown.campaign.wishes:
        return None
    try:
        parent = find_published(service, workshop_id, shown.row.parent_id)
    except (NotFound, Conflict):
        return None
    known = parent.campaign.wishes
    lines = [line for line in shown.plan.wishes if shown.campaign.wishes[line.wish] not in known]
    if not lines:
        return None
    more = shown.plan.outcome.total - parent.plan.outcome.total
    later = [(tier.tier, tier.days) for tier in tier_changes(parent.plan, shown.plan) if tier.days]
    return Tried(parent, lines, more, later)


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

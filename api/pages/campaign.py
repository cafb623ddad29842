"""A moulding campaign: its plans, its name, and what can be done with the whole of it."""

import json
import time
from datetime import datetime
from typing import Any, cast, get_args

from fastapi import APIRouter, Response
from fastapi.responses import RedirectResponse

from api.http.forms import SentForm
from api.languages import wording
from api.pages.auth import PageMaker, PageReader, PageRoute
from api.pages.form_words import told as in_words
from api.pages.sending import submitted
from api.pages.templating import page
from api.plans.parameters import PlanId
from api.service import Service, TheService
from api.service.refusals import NotFound
from api.services import moulding_campaigns, plans
from api.services.moulding_campaigns import Done
from worker.records.moulding_campaigns import CampaignRow
from worker.records.reading import PlanRow

router = APIRouter(prefix="/plans", route_class=PageRoute, include_in_schema=False)
MOST_TOLD = 200
"""Changes listed, the newest first."""
NEWEST = 8
"""Plans and changes that stand open; what is older is folded under them."""
LONGEST_NAME = 120
"""As long as a campaign document's name may be."""


@router.get("/{plan_id}/campaign")
def campaign_page(plan_id: PlanId, service: TheService, caller: PageReader) -> Response:
    """All plans of the campaign that a plan belongs to."""
    row, campaign = moulding_campaigns.of_plan(service, caller.workshop_id, plan_id)
    return _shown(service, caller.workshop_id, row, campaign)


@router.post("/{plan_id}/campaign")
def change(plan_id: PlanId, service: TheService, caller: PageMaker, form: SentForm) -> Response:
    """Renames, duplicates, archives or deletes the campaign; what is put away can be taken back."""
    row, campaign = moulding_campaigns.of_plan(service, caller.workshop_id, plan_id)
    asked = str(form.get("do", ""))
    if asked == "duplicate":
        return RedirectResponse(_duplicated(service, caller.workshop_id, row, campaign), 303)
    name = " ".join(str(form.get("name", "")).split())
    if asked == "rename" and not 0 < len(name) <= LONGEST_NAME:
        return _shown(service, caller.workshop_id, row, campaign, f"A name has 1 to {LONGEST_NAME} characters.")
    if asked == "for-good" and (form.get("sure") != "yes" or campaign.deleted_at is None):
        problem = "Tick that you are sure: nothing of it can be taken back."
        return _shown(service, caller.workshop_id, row, campaign, problem)
    if asked not in get_args(Done):
        raise NotFound("There is no such button.")
    moulding_campaigns.change(service, caller.workshop_id, campaign.id, cast(Done, asked), name)
    if asked in {"delete", "for-good"}:
        return RedirectResponse(f"/?shelf=deleted&said={asked}", 303)
    return RedirectResponse(f"/plans/{plan_id}/campaign", 303)


def _duplicated(service: Service, workshop_id: str, row: PlanRow, campaign: CampaignRow) -> str:
    """The plan's document as a campaign of its own, planned; gives the address of its page."""
    document: dict[str, Any] = json.loads(plans.campaign_text(service, workshop_id, row.id))
    document["name"] = f"Copy of {campaign.name}"[:LONGEST_NAME]
    return submitted(service, workshop_id, json.dumps(document, ensure_ascii=False).encode())


def _shown(service: Service, workshop_id: str, row: PlanRow, campaign: CampaignRow, problem: str = "") -> Response:
    def ago(at: float) -> str:
        return wording.duration(max(0.0, time.time() - at))

    def at(seconds: float) -> str:
        return wording.moment(datetime.fromtimestamp(seconds).astimezone())

    told = moulding_campaigns.told(service, workshop_id, campaign.id, MOST_TOLD + 1)
    status = 422 if problem else 200
    more: dict[str, Any] = {
        "told": told[:MOST_TOLD],
        "newest": NEWEST,
        "more": len(told) > MOST_TOLD,
        "at": at,
        "ago": ago,
        "in_words": in_words,
        "longest": LONGEST_NAME,
    }
    return page("campaign.html", status, row=row, campaign=campaign, problem=problem, **more)

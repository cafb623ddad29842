"""A lot that was found bad late: which parcels may hold it, what is still here, what is to be moulded again."""

import json
from dataclasses import dataclass, field
from datetime import datetime
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request, Response
from fastapi.responses import RedirectResponse

from api.http.forms import SentForm
from api.pages.api_client import Answered, ask
from api.pages.auth import PageMaker, PageReader, PageRoute
from api.pages.measures import day as read_day
from api.pages.templating import of_plan, page
from api.pages.typed import whole
from api.pages.wall_clock import now_at
from api.plans.parameters import PlanId
from api.service import TheService
from api.services.published import Published, find_published
from api.services.rejected_lots import plans_back
from planner.actuals.entries import AnyEntry
from planner.actuals.rejected import Lot, MayHold, may_hold, to_mould_again, written
from planner.campaign import Campaign
from planner.demand.items import ordered_items

router = APIRouter(prefix="/plans", route_class=PageRoute, include_in_schema=False)
Text = Annotated[str, Query(max_length=300)]
History = list[tuple[Campaign, list[AnyEntry]]]


@dataclass(frozen=True)
class Found:
    """What is known of a lot. here: pieces that no parcel took. short: good pieces missing once all is sent again."""

    lot: Lot
    parcels: list[MayHold] = field(default_factory=list)
    here: int = 0
    short: int = 0


@router.get("/{plan_id}/rejected")
def rejected_page(
    plan_id: PlanId, service: TheService, caller: PageReader, item: Text = "", pieces: Text = "", since: Text = ""
) -> Response:
    """Asks which lot; once that is said, what it means."""
    shown = find_published(service, caller.workshop_id, plan_id)
    typed = {"item": item, "pieces": pieces, "since": since}
    if not any(typed.values()):
        return _shown(shown, typed, {}, None)
    problems: dict[str, str] = {}
    lot = _lot(shown, typed, problems)
    found = _found(lot, plans_back(service, caller.workshop_id, plan_id)) if lot is not None else None
    return _shown(shown, typed, problems, found)


@router.post("/{plan_id}/rejected")
def write_down(plan_id: PlanId, request: Request, service: TheService, caller: PageMaker, form: SentForm) -> Response:
    """Into the log: the parcels that were ticked are sent again, what is still here of the lot is rejected."""
    shown = find_published(service, caller.workshop_id, plan_id)
    typed = {name: str(form.get(name, ""))[:300] for name in ("item", "pieces", "since")}
    problems: dict[str, str] = {}
    lot = _lot(shown, typed, problems)
    if lot is None:
        return _shown(shown, typed, problems, None)
    found = _found(lot, plans_back(service, caller.workshop_id, plan_id))
    ticked = {str(one) for one in form.getlist("again")}
    again = [one for one in found.parcels if _key(one) in ticked]
    entries = [_said(entry) for entry in written(lot, again, now_at(shown))]
    try:
        if entries:
            ask(request, "POST", f"/v1/plans/{plan_id}/actuals", {"entries": entries})
    except Answered as refused:
        return _shown(shown, typed, {"pieces": refused.told}, found)
    return RedirectResponse(f"/plans/{plan_id}/log?said=yes", 303)


def _lot(shown: Published, typed: dict[str, str], problems: dict[str, str]) -> Lot | None:
    items = {_item(item): item for item in _items(shown.campaign)}
    chosen = items.get(typed["item"])
    if chosen is None:
        problems["item"] = "choose the part and its colours"
    pieces = whole(typed["pieces"].strip(), "pieces", problems)
    if pieces == 0:
        problems["pieces"] = "a lot has a piece at least"
    since = None
    try:
        since = datetime.fromisoformat(read_day(typed["since"].strip()))
    except ValueError:
        problems["since"] = (
            f"{typed['since'][:30]!r} is no day; write 2027-02-19" if typed["since"] else "write the day"
        )
    if problems or chosen is None or since is None or pieces is None:
        return None
    return Lot(*chosen, pieces, since)


def _found(lot: Lot, history: History) -> Found:
    parcels = may_hold(lot, history)
    campaign, logged = history[0]
    more = written(lot, parcels, max([campaign.start, *(entry.at for entry in logged)]))
    here = max(0, lot.pieces - sum(one.pieces for one in parcels))
    return Found(lot, parcels, here, to_mould_again(campaign, logged, more, lot))


def _shown(shown: Published, typed: dict[str, str], problems: dict[str, str], found: Found | None) -> Response:
    items = [(_item(item), f"{item[0]} in {' + '.join(item[1])}") for item in _items(shown.campaign)]
    return page(
        "rejected.html",
        422 if problems else 200,
        here="press",
        leaf="rejected",
        **of_plan(shown),
        items=items,
        typed=typed,
        problems=problems,
        found=found,
        key=_key,
    )


def _items(campaign: Campaign) -> list[tuple[str, tuple[str, ...]]]:
    return sorted(ordered_items(campaign))


def _item(item: tuple[str, tuple[str, ...]]) -> str:
    return json.dumps([item[0], *item[1]], ensure_ascii=False)


def _key(one: MayHold) -> str:
    return f"{one.plan} {one.line} {one.part or ''}"


def _said(entry: AnyEntry) -> dict[str, Any]:
    return entry.model_dump(mode="json", by_alias=True, exclude_defaults=True) | {"what": entry.what}

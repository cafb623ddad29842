"""Change this campaign: the form filled in from a plan's document, planned again as its next revision.

What the form cannot say stays. Two people who change it at once lose nothing: the second one's changes are put onto
the first one's, which are told, and wait to be looked at.
"""

import json
from dataclasses import dataclass, field
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request, Response
from fastapi.responses import RedirectResponse
from starlette.datastructures import FormData

from api.http.forms import form_of
from api.pages import drafting, form_pasted, form_rows
from api.pages.auth import PageMaker, PageReader, PageRoute
from api.pages.doubtful import all_said, boxes, doubts, today
from api.pages.form_changes import onto, renamed, with_names
from api.pages.form_document import make
from api.pages.form_filled import filled_from
from api.pages.form_rows import MOST_ROWS
from api.pages.form_shown import LARGEST, SURE_OF, Problems, grown, listed, overtaken_said, shown_form, sure_of, tell
from api.pages.form_words import between, place
from api.pages.sending import checked
from api.pages.templating import page
from api.plans.parameters import PlanId
from api.service import Service, TheService
from api.service.refusals import NotFound, Refused
from api.services import drafts, orders, plans
from api.services.drafts import Overtaken
from planner.campaign.differences import differences
from planner.plan import RunPlan
from planner.slips.compare import compare
from worker.records.drafts import DraftRow, Place

router = APIRouter(prefix="/plans", route_class=PageRoute, include_in_schema=False)
ChangeForm = Annotated[FormData, Depends(form_of(LARGEST, 20_000))]
MOST_TOLD = 40
"""Values told as changed; more are counted."""


@dataclass(frozen=True)
class Begun:
    """What was typed before. meanwhile: what somebody else did since. right: boxes to tick, see `doubtful`. pasted:
    what came of cells from a spreadsheet."""

    draft: DraftRow | None
    meanwhile: list[str] = field(default_factory=list)
    right: dict[str, str] = field(default_factory=dict)
    pasted: form_pasted.Pasted | None = None


@router.get("/{plan_id}/change")
def change_page(plan_id: PlanId, service: TheService, caller: PageReader) -> Response:
    """The form with all that it can show of the campaign; or as somebody left it before it was planned."""
    document, revision = _standing(service, caller.workshop_id, plan_id)
    found = drafts.at(service, Place(caller.workshop_id, "change", plan_id))
    if found:
        row = found[0]
        began = ["These are changes that were begun and are not planned yet."]
        since = str(row.content.get("from", revision))
        return _shown(plan_id, document, since, form_rows.heard(row.content), {}, begun=Begun(row, began))
    return _shown(plan_id, document, revision, filled_from(document), {})


@router.post("/{plan_id}/change")
def change(
    plan_id: PlanId,
    request: Request,
    service: TheService,
    caller: PageMaker,
    sent: Annotated[FormData, Depends(form_of(LARGEST, 20_000))],
) -> Response:
    """Adds or takes out a row, or has the changed campaign planned; whatever is asked, what was typed is kept."""
    filled = form_rows.read({name: value for name, value in sent.items() if isinstance(value, str)})
    document, revision = _standing(service, caller.workshop_id, plan_id)
    since = str(sent.get("from", ""))
    asked, _, about = str(sent.get("do", "plan")).partition("-")
    place = Place(caller.workshop_id, "change", plan_id)
    content = form_rows.said(filled) | {"from": since}
    if drafting.by_script(request):
        return drafting.kept_by_script(request, place, sent, content)
    if (asked, about) == ("put", "away"):
        drafts.put_away(service, caller.workshop_id, str(sent.get("draft", "")))
        return RedirectResponse(f"/plans/{plan_id}/change", 303)
    pasted = form_pasted.taken(filled, sent) if asked == "paste" else None
    rows = (pasted.section, pasted.first) if pasted else grown(filled, asked, about)
    try:
        draft = drafts.keep(service, place, drafting.seen_in(sent), content)
    except Overtaken as late:
        told = overtaken_said(filled, late)
        return _shown(plan_id, document, since, filled, {}, status=409, begun=Begun(late.now, told))
    if asked == "save":
        return RedirectResponse(f"/plans/{plan_id}/change", 303)
    if rows is not None:
        return _shown(plan_id, document, since, filled, {}, row=rows, begun=Begun(draft, pasted=pasted))
    before = document if since == str(revision) else _as_of(service, caller.workshop_id, plan_id, since)
    shown_before = filled_from(before)
    names = renamed(filled)
    old, new = make(shown_before), make(filled)
    changed = onto(*(with_names(one, names) for one in (document, old.document, new.document)))
    if before is not document:
        meanwhile = ["Somebody changed this campaign meanwhile. Your changes are put on top; look and plan once more."]
        meanwhile += between(before, document)[:MOST_TOLD]
        return _shown(plan_id, changed, revision, filled_from(changed), {}, status=409, begun=Begun(draft, meanwhile))
    problems: Problems = {}
    unheard = {message for _, message in old.problems}
    for name, message in new.problems:
        if message not in unheard:
            problems.setdefault(name, []).append(message)
    try:
        text = json.dumps(changed, ensure_ascii=False).encode()
        checked(service, text)
        asked_about = doubts(new, today(), sure_of(sent) | all_said(old))
        if asked_about and not problems:
            return _shown(
                plan_id, document, since, filled, listed(asked_about), status=422,
                begun=Begun(draft, right=boxes(new, asked_about)),
            )  # fmt: skip
        if not problems:
            made = orders.plan_changed(service, caller.workshop_id, plan_id, changed, revision)
            if made:
                drafts.put_away(service, caller.workshop_id, draft.id)
            return RedirectResponse(f"/plans/{made}", 303) if made else change_page(plan_id, service, caller)
    except Refused as refused:
        tell(refused, new, problems)
    return _shown(plan_id, document, since, filled, problems, status=422, begun=Begun(draft))


@router.get("/{plan_id}/revised")
def revised(plan_id: PlanId, service: TheService, caller: PageReader) -> Response:
    """The newest revision beside the one before it: what was changed, and what that changed."""
    both = plans.last_two_revisions(service, caller.workshop_id, plan_id)
    before, after = (RunPlan.model_validate_json(text) for text in both.plans)
    was, now = (_without_order_of_work(json.loads(text)) for text in both.campaigns)
    fields = [(place(where), one, other) for where, one, other in differences(was, now)]
    return page(
        "revised.html",
        here="what-if",
        leaf="revised",
        row=both.row,
        plan=after,
        said=compare(before, after),
        fields=fields[:MOST_TOLD],
        more=max(0, len(fields) - MOST_TOLD),
        numbers=both.numbers,
    )


def _without_order_of_work(document: dict[str, Any]) -> dict[str, Any]:
    planning = {name: value for name, value in document.get("planning", {}).items() if name != "begin_from"}
    return document | {"planning": planning}


def _standing(service: Service, workshop_id: str, plan_id: str) -> tuple[dict[str, Any], int]:
    """The campaign as it stands, and the plan's revision."""
    row, text = plans.standing(service, workshop_id, plan_id)
    document: dict[str, Any] = json.loads(text)
    return document, row.revision


def _as_of(service: Service, workshop_id: str, plan_id: str, revision: str) -> dict[str, Any]:
    """The campaign as it was in a revision."""
    number = int(revision[:9]) if revision.isdecimal() else 0
    text = plans.campaign_of_revision(service, workshop_id, plan_id, number)
    if text is None:
        raise NotFound("What you began to change was never planned; open the form anew.")
    document: dict[str, Any] = json.loads(text)
    return document


def _shown(
    plan_id: str,
    document: dict[str, Any],
    revision: int | str,
    filled: form_rows.Filled,
    problems: Problems,
    status: int = 200,
    row: tuple[str, int] = ("", -1),
    begun: Begun | None = None,
) -> Response:
    orders = document.get("orders") or []
    detail = "The campaign cannot be planned as it is; what you typed is still here." if problems else ""
    right = begun.right if begun else {}
    detail = SURE_OF if right else detail
    return shown_form(
        filled,
        problems,
        detail,
        *row,
        status,
        plan_id=plan_id,
        action=f"/plans/{plan_id}/change",
        title="Change this campaign",
        many_orders=len(orders) if len(orders) > MOST_ROWS else 0,
        from_revision=revision,
        meanwhile=begun.meanwhile if begun else [],
        draft=begun.draft if begun else None,
        boxes=right,
        pasted=begun.pasted if begun else None,
    )

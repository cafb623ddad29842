"""The form that grows, as pages: rows come and go, each problem stands beside its field, then it is planned."""

import json
import time
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Form, Query, Request, Response
from fastapi.responses import RedirectResponse
from starlette.datastructures import FormData

from api.demo import EXAMPLES
from api.forms import form_of
from api.pages import drafting, form_rows
from api.pages.auth import PageMaker, PageReader, PageRoute
from api.pages.doubtful import SURE, boxes, doubts, today
from api.pages.form_document import make
from api.pages.form_fields import HEAD, SECTIONS
from api.pages.form_filled import filled_from
from api.pages.form_made import Made
from api.pages.form_rows import Filled
from api.pages.new_orders import asking, with_an_order
from api.pages.starting import checked, submitted
from api.pages.templating import page
from api.service import TheService
from api.service.refusals import Refused
from api.services import drafts
from api.services.drafts import Overtaken
from worker.records.drafts import DraftRow, Place
from worker.records.ids import PATTERN

router = APIRouter(prefix="/start", route_class=PageRoute, include_in_schema=False)
Problems = dict[str, list[str]]
Example = Annotated[str, Query(max_length=60)]
DraftId = Annotated[str | None, Query(pattern=PATTERN)]
SURE_OF = "Before this is planned: what you typed is still here."
"""Over a form with questions in it."""
MOST_TOLD = 40
"""Fields told as another's; more are counted."""
LARGEST = 4_000_000
"""Bytes of the form; 20,000 fields of usual length are half of it."""


@router.get("/form")
def form_page(service: TheService, caller: PageReader, draft: DraftId = None, example: Example = "") -> Response:
    """Empty, with what is usual; or as somebody left it; or filled with an example to write over."""
    if draft is None and example in EXAMPLES:
        return shown_form(filled_from(EXAMPLES[example].beginning(today())), {}, "")
    if draft is None:
        return shown_form(form_rows.empty(today()), {}, "")
    row = drafts.find(service, caller.workshop_id, draft)
    return shown_form(form_rows.heard(row.content), {}, "", draft=row)


@router.post("/form")
def form(
    request: Request,
    service: TheService,
    caller: PageMaker,
    sent: Annotated[FormData, Depends(form_of(LARGEST, 20_000))],
) -> Response:
    """Adds or takes out a row, hands over the document, asks for the orders' spreadsheet, or plans; whatever is asked,
    what was typed is kept."""
    filled = form_rows.read({name: value for name, value in sent.items() if isinstance(value, str)})
    asked, _, about = str(sent.get("do", "plan")).partition("-")
    place = Place(caller.workshop_id, "form")
    if drafting.by_script(request):
        return drafting.kept_by_script(request, place, sent, form_rows.said(filled))
    rows = grown(filled, asked, about)
    try:
        draft = drafts.keep(service, place, drafting.seen_in(sent), form_rows.said(filled))
    except Overtaken as overtaken:
        return shown_form(filled, {}, "", draft=overtaken.now, meanwhile=overtaken_said(filled, overtaken), status=409)
    if asked == "save":
        return RedirectResponse(f"/start/form?draft={draft.id}", 303)
    if rows is not None:
        return shown_form(filled, {}, "", *rows, draft=draft)
    made = make(filled)
    if asked == "document":
        text = json.dumps(made.document, indent=1, ensure_ascii=False)
        return page("document.html", text=text, problems=[], detail="")
    if asked == "orders":
        made.document = with_an_order(made.document)
    text = json.dumps(made.document, ensure_ascii=False)
    problems: Problems = {}
    for name, message in made.problems:
        problems.setdefault(name, []).append(message)
    try:
        if asked == "orders":
            read = checked(service, text.encode())
            if not problems:
                return asking(text, read.campaign)
        elif problems:
            checked(service, text.encode())
        elif asked_about := doubts(made, today(), sure_of(sent)):
            return shown_form(
                filled, listed(asked_about), SURE_OF, status=422, draft=draft, boxes=boxes(made, asked_about)
            )
        else:
            planned = submitted(service, caller.workshop_id, text.encode())
            drafts.put_away(service, caller.workshop_id, draft.id)
            return RedirectResponse(planned, 303)
    except Refused as refused:
        tell(refused, made, problems)
    detail = "The campaign cannot be planned as it is; what you typed is still here."
    return shown_form(filled, problems, detail, status=422, draft=draft)


def sure_of(sent: FormData) -> set[str]:
    """What somebody ticked as right."""
    return {str(value) for value in sent.getlist(SURE)}


def listed(told: dict[str, str]) -> Problems:
    return {field: [text] for field, text in told.items()}


@router.post("/form/put-away")
def put_away(service: TheService, caller: PageMaker, draft: Annotated[str, Form(max_length=100)]) -> Response:
    """Throws a draft away."""
    drafts.put_away(service, caller.workshop_id, draft)
    return RedirectResponse("/start", 303)


def overtaken_said(filled: Filled, overtaken: Overtaken) -> list[str]:
    """That somebody else changed the draft, and what theirs says where it says something else."""
    if overtaken.now is None:
        return [drafting.told(overtaken)]
    theirs, mine = form_rows.fields(form_rows.heard(overtaken.now.content)), form_rows.fields(filled)
    found = [
        f"{name}: theirs says {theirs.get(name) or 'nothing'}, yours {mine.get(name) or 'nothing'}"
        for name in dict.fromkeys([*theirs, *mine])
        if theirs.get(name, "") != mine.get(name, "")
    ]
    more = [f"and {len(found) - MOST_TOLD} more"] if len(found) > MOST_TOLD else []
    return [drafting.told(overtaken) + " Keep yours by any button.", *found[:MOST_TOLD], *more]


def tell(refused: Refused, made: Made, problems: Problems) -> None:
    """Every problem to its field; a field that could not be read is not told a second time that it is missing."""
    unread = set(problems)
    for one in refused.problems:
        name = made.field_of(one.pointer)
        if name not in unread:
            message = one.message + (f"; {one.remedy}" if one.remedy else "")
            problems.setdefault(name, []).append(message if name else f"{one.pointer}: {message}")
    if not refused.problems:
        problems[""] = [refused.detail]


def grown(filled: Filled, asked: str, about: str) -> tuple[str, int] | None:
    """Adds or takes out a row as the button says: its section, and which row is new (-1: none)."""
    if asked == "add" and form_rows.grow(filled, about):
        return about, len(filled.rows[about]) - 1
    section, _, number = about.partition("-")
    if asked == "drop" and number.isdecimal() and form_rows.shrink(filled, section, int(number)):
        return section, -1
    return None


def shown_form(
    filled: Filled,
    problems: Problems,
    detail: str,
    section: str = "",
    added: int = -1,
    status: int = 200,
    **more: Any,
) -> Response:
    """The form as a page. more: its draft, and what a form that changes a plan has besides."""
    shown: dict[str, Any] = {"filled": filled, "problems": problems, "detail": detail, "plan_id": "", "meanwhile": []}
    shown |= {
        "boxes": {},
        "action": "/start/form",
        "title": "Describe your campaign",
        "many_orders": 0,
        "from_revision": 0,
    } | more
    draft: DraftRow | None = shown.setdefault("draft", None)
    shown["draft_kept"] = "" if draft is None else drafting.kept_at(draft, time.time())
    spoken = {name.partition(".")[0] for name in problems}
    # Never from the browser's own store: going back shows what is kept here, in the edition it is in.
    return page(
        "form.html",
        status,
        {"Cache-Control": "no-store"},
        head=HEAD,
        sections=SECTIONS,
        folded={one.name for one in SECTIONS if one.folded(filled.rows[one.name])} - {section, *spoken},
        changed=section,
        added=added,
        **shown,
    )

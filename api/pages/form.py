"""The form that grows, as pages: rows come and go, each problem stands beside its field, then it is planned."""

import json
from datetime import date
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Response
from fastapi.responses import RedirectResponse
from starlette.datastructures import FormData

from api.forms import form_of
from api.pages import form_rows
from api.pages.auth import PageMaker, PageReader, PageRoute
from api.pages.form_document import Made, make
from api.pages.form_fields import HEAD, SECTIONS
from api.pages.form_rows import Filled
from api.pages.new_orders import asking, with_an_order
from api.pages.starting import checked, submitted
from api.pages.templating import page
from api.service import TheService
from api.service.refusals import Refused

router = APIRouter(prefix="/start", route_class=PageRoute, include_in_schema=False)
Problems = dict[str, list[str]]
LARGEST = 4_000_000
"""Bytes of the form; 20,000 fields of usual length are half of it."""


@router.get("/form")
def form_page(caller: PageReader) -> Response:
    """Empty, with what is usual."""
    return shown_form(form_rows.empty(date.today()), {}, "")


@router.post("/form")
def form(
    service: TheService, caller: PageMaker, sent: Annotated[FormData, Depends(form_of(LARGEST, 20_000))]
) -> Response:
    """Adds or takes out a row, hands over the document, asks for the orders' spreadsheet, or plans."""
    filled = form_rows.read({name: value for name, value in sent.items() if isinstance(value, str)})
    asked, _, about = str(sent.get("do", "plan")).partition("-")
    if (rows := grown(filled, asked, about)) is not None:
        return shown_form(filled, {}, "", *rows)
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
        else:
            return RedirectResponse(submitted(service, caller.workshop_id, text.encode()), 303)
    except Refused as refused:
        tell(refused, made, problems)
    detail = "The campaign cannot be planned as it is; what you typed is still here."
    return shown_form(filled, problems, detail, status=422)


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
    """The form as a page. more: what a form that changes a plan has besides."""
    shown: dict[str, Any] = {"filled": filled, "problems": problems, "detail": detail, "plan_id": "", "meanwhile": []}
    shown |= {"action": "/start/form", "title": "Describe your campaign", "many_orders": 0, "from_revision": 0} | more
    return page("form.html", status, head=HEAD, sections=SECTIONS, changed=section, added=added, **shown)

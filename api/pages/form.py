"""The form that grows, as pages: rows come and go, each problem stands beside its field, then it is planned."""

import json
from datetime import date
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Response
from fastapi.responses import RedirectResponse
from starlette.datastructures import FormData

from api.forms import form_of
from api.pages import growing
from api.pages.door import PageMaker, PageReader, PageRoute
from api.pages.dress import page
from api.pages.form_document import Made, make
from api.pages.form_fields import HEAD, SECTIONS
from api.pages.growing import Filled
from api.pages.new_orders import asking, with_an_order
from api.pages.starting import checked, submitted
from api.problems import Refused
from api.service import TheService

router = APIRouter(prefix="/start", route_class=PageRoute, include_in_schema=False)
Problems = dict[str, list[str]]
LARGEST = 4_000_000
"""Bytes of the form; 20,000 fields of usual length are half of it."""


@router.get("/form")
def form_page(caller: PageReader) -> Response:
    """Empty, with what is usual."""
    return _shown(growing.empty(date.today()), {}, "")


@router.post("/form")
def form(
    service: TheService, caller: PageMaker, sent: Annotated[FormData, Depends(form_of(LARGEST, 20_000))]
) -> Response:
    """Adds or takes out a row, hands over the document, asks for the orders' spreadsheet, or plans."""
    filled = growing.read({name: value for name, value in sent.items() if isinstance(value, str)})
    asked, _, about = str(sent.get("do", "plan")).partition("-")
    if asked == "add" and growing.grow(filled, about):
        return _shown(filled, {}, "", about, len(filled.rows[about]) - 1)
    section, _, number = about.partition("-")
    if asked == "drop" and number.isdecimal() and growing.shrink(filled, section, int(number)):
        return _shown(filled, {}, "", section)
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
        _told(refused, made, problems)
    detail = "The campaign cannot be planned as it is; what you typed is still here."
    return _shown(filled, problems, detail, status=422)


def _told(refused: Refused, made: Made, problems: Problems) -> None:
    """Every problem to its field; a field that could not be read is not told a second time that it is missing."""
    unread = set(problems)
    for one in refused.problems:
        name = made.field_of(one.pointer)
        if name not in unread:
            message = one.message + (f"; {one.remedy}" if one.remedy else "")
            problems.setdefault(name, []).append(message)
    if not refused.problems:
        problems[""] = [refused.detail]


def _shown(
    filled: Filled, problems: Problems, detail: str, section: str = "", added: int = -1, status: int = 200
) -> Response:
    shown: dict[str, Any] = {"filled": filled, "problems": problems, "detail": detail}
    return page("form.html", status, head=HEAD, sections=SECTIONS, changed=section, added=added, **shown)

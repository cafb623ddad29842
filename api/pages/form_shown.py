"""The form as it is shown again: with what was typed, what is wrong with it, and what was asked for."""

import time
from collections import Counter
from typing import Any

from fastapi import Response
from starlette.datastructures import FormData

from api.languages import wording
from api.pages import drafting, form_rows
from api.pages.doubtful import SURE
from api.pages.form_fields import HEAD, SECTIONS
from api.pages.form_held import Held, held
from api.pages.form_help import HELP
from api.pages.form_made import Made
from api.pages.form_rows import Filled
from api.pages.form_words import labelled
from api.pages.templating import page
from api.service.refusals import Refused
from api.services.drafts import Overtaken
from worker.records.drafts import DraftRow

Problems = dict[str, list[str]]
"""By field, what is wrong with it."""

SURE_OF = "Before this is planned: what you typed is still here."
"""Over a form with questions in it."""
MOST_TOLD = 40
"""Fields told as another's; more are counted."""
LARGEST = 4_000_000
"""Bytes of the form; 20,000 fields of usual length are half of it."""


def sure_of(sent: FormData) -> set[str]:
    """What somebody ticked as right."""
    return {str(value) for value in sent.getlist(SURE)}


def listed(told: dict[str, str]) -> Problems:
    return {field: [text] for field, text in told.items()}


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
    """The form as a page. more: its draft, whether somebody comes back to it, and what a form that changes a plan has
    besides."""
    shown: dict[str, Any] = {"filled": filled, "problems": problems, "detail": detail, "plan_id": "", "meanwhile": []}
    shown["again"] = bool(more.get("plan_id"))
    shown |= {
        "boxes": {},
        "action": "/start/form",
        "title": "Describe your campaign",
        "many_orders": 0,
        "from_revision": 0,
        "pasted": None,
    } | more
    draft: DraftRow | None = shown.setdefault("draft", None)
    shown["draft_kept"] = "" if draft is None else drafting.kept_at(draft, time.time())
    wrong_in = Counter(name.partition(".")[0] for name in problems)
    holds = {one.name: held(one, filled.rows[one.name]) for one in SECTIONS}
    if shown["many_orders"]:
        holds["orders"] = Held([wording.counted(shown["many_orders"], "order line")], 0)
    # What somebody comes back to is folded to a table of contents; what is filled in for the first time stands open.
    folded = {
        one.name for one in SECTIONS if one.folded(filled.rows[one.name]) or (shown["again"] and holds[one.name].names)
    }
    # Never from the browser's own store: going back shows what is kept here, in the edition it is in.
    return page(
        "form.html",
        status,
        {"Cache-Control": "no-store"},
        head=HEAD,
        sections=SECTIONS,
        helps=HELP,
        labelled=labelled,
        folded=folded - {section, *filled.opened, *wrong_in},
        holds=holds,
        wrong_in=wrong_in,
        changed=section,
        added=added,
        **shown,
    )

"""Wishes: what became of each, what it costs, taken back with one click; and one more, said in a line."""

import json
import re
from typing import Annotated, Any

from fastapi import APIRouter, Form, Path, Response
from fastapi.responses import RedirectResponse
from pydantic import ValidationError

from api.http.forms import SentForm
from api.pages import measures
from api.pages.auth import PageMaker, PageReader, PageRoute
from api.pages.sending import checked
from api.pages.templating import page
from api.plans.parameters import PlanId
from api.service import Service, TheService
from api.service.refusals import Refused
from api.services import orders, plans
from api.services.published import find_published
from planner.campaign.wishes import Wish
from planner.plan.wishes import words

router = APIRouter(prefix="/plans", route_class=PageRoute, include_in_schema=False)
Number = Annotated[int, Path(ge=0, le=1000)]
Words = Annotated[str, Form(max_length=2000)]
KINDS = (
    ("press", "run on a press"),
    ("not_before", "begin not before"),
    ("done_by", "be done by"),
    ("then", "be done before others begin"),
    ("together", "run together with others"),
    ("first_colour", "(a colour) go first"),
    ("free", "(a press) be kept free"),
)
NEEDS = {
    "press": ("runs", "press"),
    "not_before": ("runs", "day"),
    "done_by": ("runs", "day"),
    "then": ("runs", "others"),
    "together": ("runs", "others"),
    "first_colour": ("colour",),
    "free": ("press", "day"),
}
"""Fields that each kind of wish cannot do without."""


@router.get("/{plan_id}/wishes")
def wishes(plan_id: PlanId, service: TheService, caller: PageReader) -> Response:
    """Every wish with what became of it, and the form for another."""
    return _shown(service, caller.workshop_id, plan_id, {}, {})


@router.post("/{plan_id}/wishes")
def wish(plan_id: PlanId, service: TheService, caller: PageMaker, form: SentForm) -> Response:
    """One wish more: planned again with it."""
    typed = {name: value.strip() for name, value in form.items() if isinstance(value, str)}
    problems: dict[str, str] = {}
    said = _said(typed, problems)
    if not problems:
        try:
            Wish.model_validate(said)
            row, text = plans.standing(service, caller.workshop_id, plan_id)
            document: dict[str, Any] = json.loads(text)
            changed = document | {"wishes": [*document.get("wishes", []), said]}
            if made := _planned(service, caller.workshop_id, plan_id, changed, row.revision):
                return RedirectResponse(made, 303)
            problems["kind"] = "Somebody changed this campaign meanwhile; look and wish once more."
        except ValidationError as error:
            problems["kind"] = str(error.errors()[0]["msg"])
        except Refused as refused:
            told = next((p for p in refused.problems if p.pointer.startswith("/wishes")), None)
            problems["kind"] = f"{told.message}: {told.remedy}" if told else refused.detail
    return _shown(service, caller.workshop_id, plan_id, typed, problems, 422)


@router.post("/{plan_id}/wishes/{number}/back")
def take_back(plan_id: PlanId, number: Number, service: TheService, caller: PageMaker, what: Words) -> Response:
    """Takes a wish back and has the campaign planned again. what: the wish in words, so that it is this one."""
    row, text = plans.standing(service, caller.workshop_id, plan_id)
    document: dict[str, Any] = json.loads(text)
    listed = list(document.get("wishes", []))
    if number < len(listed) and words(Wish.model_validate(listed[number])) == what:
        del listed[number]
        changed = {name: value for name, value in document.items() if name != "wishes"}
        if listed:
            changed["wishes"] = listed
        if made := _planned(service, caller.workshop_id, plan_id, changed, row.revision):
            return RedirectResponse(made, 303)
    return RedirectResponse(f"/plans/{plan_id}/wishes", 303)  # somebody else changed them a moment ago


def _planned(service: Service, workshop_id: str, plan_id: str, changed: dict[str, Any], revision: int) -> str | None:
    """Where the page is of the plan that is made of a changed campaign. Raises Refused."""
    checked(service, json.dumps(changed, ensure_ascii=False).encode())
    made = orders.plan_changed(service, workshop_id, plan_id, changed, revision)
    return f"/plans/{made}" if made else None


def _said(typed: dict[str, str], problems: dict[str, str]) -> dict[str, Any]:
    """The wish that the form says, as it stands in a campaign."""
    kind = typed.get("kind", "")
    if kind not in NEEDS:
        problems["kind"] = "choose what is wished for"
        return {}
    for field in NEEDS[kind]:
        if not typed.get(field):
            problems[field] = "is needed for this wish"
    if problems:
        return {}
    when = until = ""
    try:
        when, until = (measures.moment(typed.get(field, "")) for field in ("day", "until"))
        if typed.get("time"):
            when = f"{when.partition('T')[0]}T{measures.clock(typed['time'])}"
    except ValueError as error:
        problems["day"] = str(error)
        return {}
    problems |= _unread(typed, when, until)
    if problems:
        return {}
    runs = _runs(typed["runs"], problems, "runs") if "runs" in NEEDS[kind] else {}
    others = _runs(typed["others"], problems, "others") if "others" in NEEDS[kind] else {}
    note = {"why": typed["why"]} if typed.get("why") else {}
    wishes: dict[str, dict[str, Any]] = {
        "press": {"runs": runs, "press": typed.get("press")},
        "not_before": {"runs": runs, "not_before": when},
        "done_by": {"runs": runs, "done_by": when},
        "then": {"runs": runs, "then": others},
        "together": {"together": [runs, others]},
        "first_colour": {"first_colour": typed.get("colour")}
        | ({"press": typed["press"]} if typed.get("press") else {}),
        "free": {"press": typed.get("press"), "free_from": when} | ({"free_until": until} if until else {}),
    }
    return wishes[kind] | note


def _unread(typed: dict[str, str], when: str, until: str) -> dict[str, str]:
    """Fields whose day or time of day cannot be read."""
    day, _, time = when.partition("T")
    problems = {}
    if time and not re.fullmatch(r"([01]\d|2[0-3]):[0-5]\d(:[0-5]\d)?", time):
        problems["time"] = f"{(typed.get('time') or time)[:30]!r} is no time; write 14:30"
    for field, said in (("day", day), ("until", until.partition("T")[0])):
        if said and not re.fullmatch(r"\d{4}-\d\d-\d\d", said):
            problems[field] = f"{typed[field][:30]!r} is no day; write 2027-02-19"
    return problems


def _runs(text: str, problems: dict[str, str], field: str) -> dict[str, Any]:
    try:
        found = json.loads(text)
    except ValueError:
        found = None
    if not isinstance(found, dict):
        problems[field] = "choose one of the list"
        return {}
    return found


def _shown(
    service: Service, workshop_id: str, plan_id: str, typed: dict[str, str], problems: dict[str, str], status: int = 200
) -> Response:
    shown = find_published(service, workshop_id, plan_id)
    campaign, plan = shown.campaign, shown.plan
    runs = sorted({(run.tool, tuple(melt.rpartition("/")[2] for melt in run.melts)) for run in plan.runs})
    options = [("", "")]
    options += [(json.dumps({"tool": tool}, ensure_ascii=False), f"{tool}, all its runs") for tool in campaign.tools]
    options += [
        (json.dumps({"tool": tool, "colours": list(colours)}, ensure_ascii=False), f"{tool} in {' + '.join(colours)}")
        for tool, colours in runs
    ]
    return page(
        "wishes.html",
        status=status,
        here="wishes",
        row=plans.standing(service, workshop_id, plan_id)[0],
        plan=plan,
        notes=[wish.why for wish in campaign.wishes],
        kinds=[("", ""), *KINDS],
        runs=options,
        presses=[("", ""), *((name, name) for name in campaign.presses)],
        colours=[("", ""), *((name, name) for name in campaign.colours)],
        typed=typed,
        problems=problems,
    )

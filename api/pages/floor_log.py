"""The floor's log as a page: what was written down, what to strike, and what happens away from the presses."""

import json
from typing import Annotated, Any

from fastapi import APIRouter, Form, Path, Query, Request, Response, UploadFile
from fastapi.responses import RedirectResponse
from pydantic import BaseModel, Field

from api.http.forms import SentForm
from api.languages import wording
from api.pages import measures
from api.pages.api_client import Answered, ask
from api.pages.auth import PageMaker, PageReader, PageRoute
from api.pages.templating import of_plan, page
from api.pages.typed import amount, whole
from api.pages.wall_clock import now_at, stands_at
from api.plans.parameters import PlanId
from api.service import Service, TheService
from api.services import orders
from api.services.published import Published, find_published
from api.uploads.known import order_key
from planner import settled
from planner.actuals.learned import Learned
from planner.plan.document import Balance
from planner.plan.run_names import RunNames
from worker.records.ids import PATTERN

router = APIRouter(prefix="/plans", route_class=PageRoute, include_in_schema=False)
Text = Annotated[str, Field(max_length=200)]
FIELDS = {
    "delivery": "amount",
    "finished": "parts",
    "put-together": "put_units",
    "packed": "parcels",
    "came-back": "back_order",
    "tool": "ready",
    "tool-step": "step",
    "turned-out": "outcome",
}
"""What is written down -> the field beside which a refusal stands."""
UNITS = {"resin": "kg", "colour": "kg", "compound": "kg"}
"""What deliveries are counted in; pieces in pieces."""
SEPARATOR = " = "
"""Between a thing that is settled and how it turned out, where both are chosen at once."""
LARGEST = 2_000_000
"""Bytes of a CSV file of entries."""


@router.get("/{plan_id}/log")
def log_page(
    plan_id: PlanId,
    request: Request,
    service: TheService,
    caller: PageReader,
    said: Annotated[str, Query(max_length=20)] = "",
) -> Response:
    """Everything written down, newest first."""
    return _shown(request, find_published(service, caller.workshop_id, plan_id), {}, {}, said)


class Written(BaseModel):
    """The form as it was filled in: the fields of what is written down, or a file of entries."""

    what: Text = ""
    thing: Text = ""
    amount: Text = ""
    item: Text = ""
    parts: Text = ""
    spoilt: Text = ""
    put: Text = ""
    put_units: Text = ""
    order: Text = ""
    parcels: Text = ""
    back_order: Text = ""
    back_parcels: Text = ""
    back_how: Text = ""
    tool: Text = ""
    ready: Text = ""
    step: Text = ""
    outcome: Text = ""
    file: UploadFile | None = None


@router.post("/{plan_id}/log")
def write_down(
    plan_id: PlanId, request: Request, service: TheService, caller: PageMaker, form: Annotated[Written, Form()]
) -> Response:
    """A delivery, finished parts, sub-assemblies, packed parcels, news of a tool, or a file of entries."""
    shown = find_published(service, caller.workshop_id, plan_id)
    what = form.what
    typed = form.model_dump(include={"thing", "amount", "order", "parcels", "tool", "ready"})
    problems: dict[str, str] = {}
    entry: dict[str, Any] = {"what": what, "at": now_at(shown).isoformat(timespec="minutes")}
    field = FIELDS.get(what, "file")
    content: bytes | None = None
    if what == "delivery":
        kind, _, name = form.thing.partition(" ")
        entry |= {
            "of": kind,
            "id": name,
            "amount": amount(form.amount, "amount", problems, UNITS.get(kind, "")),
        }
    elif what == "finished":
        typed = form.model_dump(include={"item", "parts", "spoilt"})
        line = _finishable(shown).get(form.item)
        part, colours = (line.part, line.colours) if line else ("", ["none chosen"])
        spoilt = whole(form.spoilt, "spoilt", problems) if form.spoilt.strip() else 0
        entry |= {"part": part, "colours": colours, "parts": whole(form.parts, "parts", problems)}
        entry |= {"spoilt": spoilt}
    elif what == "put-together":
        typed = form.model_dump(include={"put", "put_units"})
        put = _put_together(shown).get(form.put, {"product": "", "colourway": "none chosen", "sub_assembly": "none"})
        entry |= {**put, "units": whole(form.put_units, "put_units", problems)}
    elif what == "packed":
        entry |= {
            "line": _line(shown, form.order, problems),
            "parcels": whole(form.parcels, "parcels", problems),
        }
    elif what == "came-back":
        typed = form.model_dump(include={"back_order", "back_parcels", "back_how"})
        entry |= _came_back(service, caller.workshop_id, shown, typed, problems)
    elif what == "tool":
        entry |= {"tool": form.tool} | ({"ready": _day(form.ready, problems)} if form.ready.strip() else {})
    elif what == "tool-step":
        left = {json.dumps([line.tool, line.step], ensure_ascii=False): line for line in shown.plan.tool_steps}
        chosen = left.get(form.step)
        entry |= {"tool": chosen.tool, "step": chosen.step} if chosen else {"tool": "", "step": form.step}
    elif what == "turned-out":
        both = SEPARATOR in form.outcome
        about, _, way = form.outcome.partition(SEPARATOR) if both else (form.thing, "", form.outcome)
        entry |= {"thing": about, "outcome": way}
    else:
        content = form.file.file.read(LARGEST + 1) if form.file is not None else b""
        if not content or len(content) > LARGEST:
            problems["file"] = "choose a CSV file" if not content else f"more than {LARGEST} bytes: split it"
    if not problems:
        body = None if content is not None else {"entries": [entry]}
        try:
            ask(request, "POST", f"/v1/plans/{plan_id}/actuals", body, csv=content)
            return RedirectResponse(f"/plans/{plan_id}/log?said=yes", 303)
        except Answered as refused:
            problems[field] = refused.told
    return _shown(request, shown, typed, problems, "", 422)


@router.post("/{plan_id}/log/{entry_id}/strike")
def strike(
    plan_id: PlanId, entry_id: Annotated[str, Path(pattern=PATTERN)], request: Request, caller: PageMaker
) -> Response:
    """Takes out an entry that was a mistake."""
    ask(request, "DELETE", f"/v1/plans/{plan_id}/actuals/{entry_id}")
    return RedirectResponse(f"/plans/{plan_id}/log?said=struck", 303)


@router.get("/{plan_id}/lessons")
def lessons(plan_id: PlanId, request: Request, service: TheService, caller: PageReader) -> Response:
    """What the log teaches, with its evidence, to be taken over or not."""
    shown = find_published(service, caller.workshop_id, plan_id)
    return _lessons(request, shown, "")


@router.post("/{plan_id}/lessons")
def take_over(plan_id: PlanId, request: Request, service: TheService, caller: PageMaker, form: SentForm) -> Response:
    """Plans again from where the floor stands, with the lessons that were chosen."""
    shown = find_published(service, caller.workshop_id, plan_id)
    chosen = {str(one) for one in form.getlist("lesson")}
    taken = [one for one in _learned(request, plan_id) if one.what in chosen]
    if not taken:
        return _lessons(request, shown, "Choose at least one figure to take over.", 422)
    wish = {
        "as_of": stands_at(request, shown),
        "patch": [operation for one in taken for operation in one.patch],
    }
    try:
        answer = ask(request, "POST", f"/v1/plans/{plan_id}/plan-again", wish)
    except Answered as refused:
        return _lessons(request, shown, refused.told, 422)
    return RedirectResponse(f"/plans/{answer.json()['plan']['id']}", 303)


def _learned(request: Request, plan_id: str) -> list[Learned]:
    answer = ask(request, "GET", f"/v1/plans/{plan_id}/learned")
    return [Learned.model_validate(one) for one in answer.json()["learned"]]


def _lessons(request: Request, shown: Published, problem: str, status: int = 200) -> Response:
    return page(
        "lessons.html",
        status,
        here="press",
        leaf="lessons",
        **of_plan(shown),
        learned=_learned(request, shown.row.id),
        problem=problem,
    )


def _shown(
    request: Request, shown: Published, typed: dict[str, str], problems: dict[str, str], said: str, status: int = 200
) -> Response:
    log = ask(request, "GET", f"/v1/plans/{shown.row.id}/actuals").json()["entries"]
    campaign = shown.campaign
    things = [(f"piece {name}", f"{name}, pieces") for name in campaign.pieces]
    things += [(f"resin {name}", f"resin {name}, kg") for name in campaign.resins]
    masterbatches = [name for name, colour in campaign.colours.items() if colour.let_down_percent > 0]
    things += [(f"colour {name}", f"masterbatch {name}, kg") for name in masterbatches]
    return page(
        "log.html",
        status,
        here="press",
        leaf="log",
        **of_plan(shown),
        log=list(reversed(log))[:200],
        count=len(log),
        things=things,
        happened=HAPPENED,
        finishable=[(key, f"{one.part} {'/'.join(one.colours)}") for key, one in _finishable(shown).items()],
        put_together=[(said, said) for said in _put_together(shown)],
        tools=[(name, name) for name in campaign.tools],
        steps=[
            (json.dumps([line.tool, line.step], ensure_ascii=False), line.what)
            for line in shown.plan.tool_steps
            if not line.done
        ],
        outcomes=list(_outcomes(shown).items()),
        outcome_names=_outcomes(shown),
        ticked_names={name: str(called) for name, called in RunNames(shown.plan.runs).items()}
        | {one.id: wording.moment(one.at) for one in shown.plan.dispatches},
        orders=campaign.orders,
        typed=typed,
        problems=problems,
        said=said,
    )


def _finishable(shown: Published) -> dict[str, Balance]:
    """Moulded items that are worked on between press and assembly and keep the colour of their melt."""
    steps = {name: part.finishing for name, part in shown.campaign.parts.items()}
    return {
        json.dumps([line.part, *line.colours], ensure_ascii=False): line
        for line in shown.plan.balance
        if steps[line.part] and not any(step.gives_colour for step in steps[line.part])
    }


def _put_together(shown: Published) -> dict[str, dict[str, str]]:
    """What may be put together before the last assembly, by product and colourway: as it is said -> as it is kept."""
    return {
        f"{name} of {product} {colourway}": {"product": product, "colourway": colourway, "sub_assembly": name}
        for product, made in shown.campaign.products.items()
        for name in made.sub_assemblies
        for colourway in made.colourways
    }


def _outcomes(shown: Published) -> dict[str, str]:
    """How each thing that is settled on a day may turn out, in words."""
    return {
        f"{thing.id}{SEPARATOR}{turn.id}": f"{thing.about}: {turn.words}"
        for thing in settled.things(shown.campaign)
        for turn in thing.turns
    }


HAPPENED = (
    ("again", "lost: send again"),
    ("again in_hand", "came back whole: send again"),
    ("in_hand", "came back whole: refunded"),
    ("", "lost: refunded"),
)
"""What may have happened to a parcel that did not arrive: flags of the entry, in words."""


def _came_back(
    service: Service, workshop_id: str, shown: Published, typed: dict[str, str], problems: dict[str, str]
) -> dict[str, Any]:
    """The entry of parcels that did not arrive: by their order line, or by the order if they left before this plan."""
    flags, order = typed["back_how"].split(), typed["back_order"].strip()
    parcels = whole(typed["back_parcels"], "back_parcels", problems)
    entry: dict[str, Any] = {"parcels": parcels, "again": "again" in flags, "in_hand": "in_hand" in flags}
    lines = [n for n, line in enumerate(shown.campaign.orders) if line.ref and order_key(line.ref) == order_key(order)]
    if len(lines) == 1:
        return entry | {"line": lines[0]}
    left = orders.orders_left(service, workshop_id, shown.row.id)
    if gone := left.get(order_key(order)):
        return entry | {"order": gone.model_dump(mode="json", exclude_unset=True, exclude={"gone"}) | {"count": 1}}
    told: dict[str, str] = {}
    line = _line(shown, order, told)
    if told:
        problems["back_order"] = told["order"]
    return entry | {"line": line}


def _day(text: str, problems: dict[str, str]) -> str:
    try:
        return measures.day(text)
    except ValueError as error:
        problems["ready"] = str(error)
        return ""


def _line(shown: Published, order: str, problems: dict[str, str]) -> int | None:
    """The order line of that reference, or of that number from 1."""
    orders, order = shown.campaign.orders, order.strip()
    found = [n for n, line in enumerate(orders) if line.ref and line.ref == order]
    if len(found) == 1:
        return found[0]
    if order.isdecimal() and 1 <= int(order) <= len(orders):
        return int(order) - 1
    lines = (
        "stands on several lines: write its line's number"
        if found
        else f"is no reference and no line from 1 to {len(orders)}"
    )
    problems["order"] = f"{order[:40]!r} {lines}"
    return None

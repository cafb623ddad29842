"""Orders from a spreadsheet into a campaign: the columns shown on a sample of rows, mapped, checked, planned.

The file stays with the maker: it travels in the form between the steps and is not kept by the service.
"""

import base64
import binascii
import json
import re
from dataclasses import dataclass, field
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Response
from fastapi.responses import RedirectResponse
from starlette.datastructures import FormData, UploadFile

from api.forms import form_of
from api.pages.door import PageMaker, PageReader, PageRoute
from api.pages.dress import page
from api.pages.new_orders import with_an_order
from api.pages.pointing import told_with_lines
from api.pages.starting import checked, document_again, submitted
from api.plans.finding import PlanId, find_plan
from api.problems import Refused, TooLarge
from api.service import Service, TheService
from api.uploads.apart import read_table
from api.uploads.cells import DATE_ORDERS
from api.uploads.document import taken
from api.uploads.known import Known
from api.uploads.limits import Limits, UnreadableFile
from api.uploads.mapping import ColumnMapping, MappingProblem
from api.uploads.report import OrdersRead, SetAside
from api.uploads.suggest import Preview, preview
from planner.campaign import Campaign
from planner.errors import Problem
from worker.records import reading

router = APIRouter(route_class=PageRoute, include_in_schema=False)
LARGEST = 5_000_000
"""Bytes of a spreadsheet: written as text in a form it must stay below what one request may hold."""
OrdersForm = Annotated[FormData, Depends(form_of(LARGEST * 4))]
"""A spreadsheet as text, a campaign, and what the columns mean."""
LIMITS = Limits(file_bytes=LARGEST)
FIELDS = ("tier", "colour", "ref", "country", "date", "count")
SAID = {
    "tier": "tier",
    "colour": "colourway of a unit",
    "ref": "order reference",
    "country": "country",
    "date": "date",
    "count": "number of orders alike",
}


@dataclass
class Filled:
    """The form as it was filled in. columns: heading -> field, or nothing."""

    kept: str = ""
    columns: dict[str, str] = field(default_factory=dict)
    country_otherwise: str = ""
    date_order: str = ""
    separator: str = ","
    wordings: str = ""
    accept: bool = False


@dataclass(frozen=True)
class Base:
    """The campaign the orders go into. plan_id: whose it is; none: it travels in the form as `kept_campaign`."""

    title: str
    document: str
    campaign: Campaign
    action: str
    plan_id: str = ""

    @property
    def shown(self) -> dict[str, Any]:
        """What every step's page has of it."""
        return {
            "title": self.title,
            "campaign": self.campaign,
            "action": self.action,
            "plan_id": self.plan_id,
            "kept_campaign": "" if self.plan_id else self.document,
        }


@router.get("/plans/{plan_id}/orders")
def orders_page(plan_id: PlanId, service: TheService, caller: PageReader) -> Response:
    """Asks for the file."""
    return page("orders.html", problem="", **_of_plan(service, caller.workshop_id, plan_id).shown)


@router.post("/plans/{plan_id}/orders")
def orders(plan_id: PlanId, service: TheService, caller: PageMaker, form: OrdersForm) -> Response:
    """The orders of a plan's campaign replaced: a new plan."""
    return _step(form, _of_plan(service, caller.workshop_id, plan_id), service, caller.workshop_id)


@router.post("/start/orders")
def first_orders(service: TheService, caller: PageMaker, form: OrdersForm) -> Response:
    """The same for a campaign that is not planned yet, sent along as a file or in the form."""
    sent = form.get("document")
    body = str(form.get("kept_campaign", "")).encode()
    if isinstance(sent, UploadFile) and sent.filename:
        body = sent.file.read(service.settings.largest_body_bytes + 1)
    try:
        if len(body) > service.settings.largest_body_bytes:
            raise TooLarge(f"At most {service.settings.largest_body_bytes} bytes are taken here.")
        campaign = checked(service, _with_an_order(body)).campaign
    except Refused as refused:
        return document_again(body, refused, told_with_lines(body.decode(errors="replace"), refused.problems))
    base = Base(campaign.name, body.decode().removeprefix("\ufeff"), campaign, "/start/orders")
    return _step(form, base, service, caller.workshop_id)


def _with_an_order(body: bytes) -> bytes:
    """The document with an order that stands in for those to come, if it has none; unreadable ones as they are."""
    try:
        document = json.loads(body)
    except ValueError:
        return body
    return json.dumps(with_an_order(document)).encode() if isinstance(document, dict) else body


def _step(form: FormData, base: Base, service: Service, workshop_id: str) -> Response:
    """Shows the columns, checks the mapping, or plans, as the button says."""
    document, campaign, shown = base.document, base.campaign, base.shown
    try:
        content, filled = _filled(form)
        known = Known.of_campaign(campaign)
        seen = read_table(content, LIMITS, preview, known)
    except UnreadableFile as error:
        return page("orders.html", 422, problem=f"{error.reason}: {error.remedy}", **shown)
    if not filled.columns:
        _suggested(filled, seen)
    asked = str(form.get("do", "look"))
    told: dict[str, Any] = {"read": None, "problems": [], "planned": None}
    if asked in {"check", "plan"}:
        try:
            read, planned = read_table(content, LIMITS, taken, _mapping(filled, seen, known), known)
            told |= {"read": read, "planned": planned}
            if not read.lines:
                told["problems"] = [("", "no row could be taken as an order", "look at the reasons below")]
            elif asked == "plan" and read.set_aside and not filled.accept:
                count = len(read.set_aside)
                told["problems"] = [("", f"{count} rows are set aside", "mend them, or say below to plan without them")]
            elif asked == "plan":
                body = json.dumps(planned.into(json.loads(document)), ensure_ascii=False).encode()
                return RedirectResponse(submitted(service, workshop_id, body), 303)
        except MappingProblem as error:
            told["problems"] = error.problems
        except ValueError as error:
            told["problems"] = [("wordings", str(error), "write `what the table says = id`, one a line")]
        except Refused as refused:
            told["problems"] = [
                (p.pointer, p.message, p.remedy) for p in refused.problems or [Problem("", refused.detail)]
            ]
    return page(
        "orders_columns.html",
        422 if told["problems"] else 200,
        filled=filled,
        seen=seen,
        fields=_fields(known),
        said=SAID,
        reasons=_reasons(told["read"]),
        **shown,
        **told,
    )


def _reasons(read: OrdersRead | None) -> list[tuple[SetAside, list[int]]]:
    """Rows set aside, those alike together: one of them, and the numbers of all; the most frequent first."""
    alike: dict[tuple[str, str], tuple[SetAside, list[int]]] = {}
    for one in read.set_aside if read else []:
        alike.setdefault((one.field, one.reason), (one, []))[1].append(one.row)
    return sorted(alike.values(), key=lambda group: -len(group[1]))


def _of_plan(service: Service, workshop_id: str, plan_id: str) -> Base:
    with service.database.read() as connection:
        row = find_plan(connection, workshop_id, plan_id)
        document = reading.campaign_document(connection, workshop_id, plan_id)
    assert document is not None
    return Base(row.title, document, Campaign.model_validate_json(document), f"/plans/{plan_id}/orders", plan_id)


def _filled(form: FormData) -> tuple[bytes, Filled]:
    """The spreadsheet's bytes and what the form says. Raises UnreadableFile."""
    sent = form.get("file")
    if isinstance(sent, UploadFile) and sent.filename:
        content = sent.file.read(LARGEST + 1)
    else:
        try:
            content = base64.b64decode(str(form.get("kept", "")), validate=True)
        except binascii.Error:
            content = b""
    if len(content) > LARGEST:
        raise UnreadableFile(f"more than {LARGEST:,} bytes", "split the file")
    if not content:
        raise UnreadableFile("no file was chosen", "choose the spreadsheet")
    headings = [str(name) for name in form.getlist("heading")]
    uses = [str(use) for use in form.getlist("use")]
    return content, Filled(
        kept=base64.b64encode(content).decode(),
        columns=dict(zip(headings, uses, strict=False)),
        country_otherwise=str(form.get("country_otherwise", "")).strip().upper(),
        date_order=str(form.get("date_order", "")),
        separator=str(form.get("separator", ",")) or ",",
        wordings=str(form.get("wordings", "")),
        accept=form.get("accept") == "yes",
    )


def _suggested(filled: Filled, seen: Preview) -> None:
    filled.columns = dict.fromkeys(seen.columns, "")
    filled.columns |= {one.column: one.field for one in seen.suggestions}
    filled.date_order = seen.date_order or ""


def _fields(known: Known) -> list[tuple[str, str]]:
    return [(name, SAID[name]) for name in FIELDS] + [
        (f"add-on {name}", f"add-on {name}") for name in sorted(known.add_ons)
    ]


def _mapping(filled: Filled, seen: Preview, known: Known) -> ColumnMapping:
    by_use: dict[str, list[str]] = {}
    for heading in seen.columns:
        if use := filled.columns.get(heading):
            by_use.setdefault(use, []).append(heading)
    twice = [(use, f"{len(names)} columns are marked {use}", "mark one") for use, names in by_use.items()
             if use != "colour" and len(names) > 1]  # fmt: skip
    if "tier" not in by_use:
        twice.append(("tier", "no column says the tier", "mark the column that does"))
    if filled.country_otherwise and not re.fullmatch("[A-Z]{2}", filled.country_otherwise):
        twice.append(
            ("country_otherwise", f"{filled.country_otherwise} is no country code", "write two letters, e.g. GB")
        )
    if twice:
        raise MappingProblem(twice)
    one = {use: names[0] for use, names in by_use.items()}
    return ColumnMapping(
        tier=one["tier"],
        colours=tuple(by_use.get("colour", ())),
        ref=one.get("ref"),
        country=one.get("country"),
        date=one.get("date"),
        count=one.get("count"),
        add_ons={use.removeprefix("add-on "): name for use, name in one.items() if use.startswith("add-on ")},
        colour_separator=filled.separator,
        country_otherwise=filled.country_otherwise or None,
        date_order=next((order for order in DATE_ORDERS if order == filled.date_order), None),
        wordings=_wordings(filled.wordings, known),
    )


def _wordings(text: str, known: Known) -> dict[str, dict[str, str]]:
    """`what the table says = id`, one a line; which field it belongs to follows from the id."""
    found: dict[str, dict[str, str]] = {"tier": {}, "colour": {}}
    for line in text.splitlines():
        if not line.strip():
            continue
        wording, equals, name = (part.strip() for part in line.partition("="))
        if not equals or name not in known.tiers.keys() | known.colourways:
            raise ValueError(f"`{line.strip()}` names no tier and no colourway")
        found["tier" if name in known.tiers else "colour"][wording] = name
    return found

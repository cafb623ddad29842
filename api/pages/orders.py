"""Orders from a spreadsheet into a campaign: the columns shown on a sample of rows, mapped, checked, planned.

The file stays with the maker: it travels in the form between the steps and is not kept by the service.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Response
from fastapi.responses import RedirectResponse
from starlette.datastructures import FormData, UploadFile

from api.exports.csv_lists import csv_bytes
from api.http.forms import form_of
from api.pages.auth import PageMaker, PageReader, PageRoute
from api.pages.new_orders import with_an_order
from api.pages.orders_form import (
    LARGEST,
    Filled,
    fields_of,
    filled_in,
    fresh,
    mapping_of,
    recall,
    remembered,
    suggest,
    unknown_of,
)
from api.pages.sending import checked, document_again
from api.pages.source_lines import with_lines
from api.pages.templating import page
from api.plans.parameters import PlanId
from api.service import Service, TheService
from api.service.refusals import Refused, TooLarge
from api.services import orders as order_service
from api.services.orders import Book, Table
from api.uploads.apart import read_table
from api.uploads.compared import compared
from api.uploads.document import taken
from api.uploads.known import Known
from api.uploads.limits import Limits, UnreadableFile
from api.uploads.mapping import ColumnMapping, MappingProblem
from api.uploads.orders import rows_given_back
from api.uploads.report import OrdersRead, SetAside
from api.uploads.status import never_counts
from api.uploads.suggest import preview
from planner.campaign import Campaign
from planner.errors import Problem

router = APIRouter(route_class=PageRoute, include_in_schema=False)
OrdersForm = Annotated[FormData, Depends(form_of(LARGEST * 4, fields=3000))]
"""A spreadsheet as text, a campaign, and what the columns mean."""
LIMITS = Limits(file_bytes=LARGEST)


@dataclass(frozen=True)
class Base:
    """The campaign the orders go into. plan_id: whose it is; none: it travels in the form as `kept_campaign`."""

    title: str
    document: str
    campaign: Campaign
    action: str
    plan_id: str = ""
    book: Book | None = None

    @property
    def shown(self) -> dict[str, Any]:
        """What every step's page has of it."""
        return {
            "book": self.book,
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
        told = with_lines(body.decode(errors="replace"), refused.problems)
        return document_again(body, refused, told, _table_of(form))
    base = Base(campaign.name, body.decode().removeprefix("\ufeff"), campaign, "/start/orders")
    return _step(form, base, service, caller.workshop_id)


def _table_of(form: FormData) -> Filled | None:
    """The table of orders in a form; None: there is none that could be taken on."""
    try:
        return filled_in(form)[1]
    except UnreadableFile:
        return None


def _with_an_order(body: bytes) -> bytes:
    """The document with an order that stands in for those to come, if it has none; unreadable ones as they are."""
    try:
        document = json.loads(body)
    except ValueError:
        return body
    return json.dumps(with_an_order(document)).encode() if isinstance(document, dict) else body


def _step(form: FormData, base: Base, service: Service, workshop_id: str) -> Response:
    """Shows the columns, checks the mapping, gives the rows set aside back, or plans, as the button says."""
    shown = base.shown
    known = Known.of_campaign(base.campaign)
    try:
        content, filled = filled_in(form)
        where = filled.where()
        seen = read_table(content, LIMITS, where, preview, known)
    except UnreadableFile as error:
        return page("orders.html", 422, problem=f"{error.reason}: {error.remedy}", **shown)
    asked = "check" if "mean" in form else str(form.get("do", "look"))
    if asked == "look" or not filled.columns:
        suggest(filled, seen)
        if base.book is not None:
            recall(filled, base.book.row.said, known)
    before = base.book.lines if base.book is not None and filled.mode == "add" else []
    read, planned, left, problems = None, None, None, []
    if asked in {"check", "plan", "download"}:
        try:
            mapping = mapping_of(filled, seen.columns, known)
            if asked == "download":
                headings, rows = read_table(content, LIMITS, where, rows_given_back, mapping, known)
                headers = {"Content-Disposition": 'attachment; filename="set-aside.csv"'}
                return Response(b"".join(csv_bytes(headings, rows)), 200, headers, "text/csv; charset=utf-8")
            read, planned = read_table(content, LIMITS, where, taken, mapping, known, before=before)
            if base.plan_id:
                order_service.with_new_numbers(service, workshop_id, base.plan_id, read, mapping.ref, before)
            fresh(filled, read.statuses)
            if not read.lines:
                problems = [("", "no row could be taken as an order", "look at the reasons below")]
            elif asked == "plan" and read.set_aside and not filled.accept:
                aside = len(read.set_aside)
                told = f"{aside:,} rows are set aside" if aside > 1 else "one row is set aside"
                problems = [("", told, "put them right, or tick below to plan without them for now")]
            elif base.plan_id and asked == "check":
                whole_table = filled.mode == "replace"
                left = order_service.left_after_packing(service, workshop_id, base.plan_id, read.lines, whole_table)
            elif asked == "plan":
                return RedirectResponse(f"/plans/{_planned(service, workshop_id, base, filled, mapping, read)}", 303)
        except MappingProblem as error:
            problems = error.problems
        except ValueError as error:
            problems = [("wordings", str(error), "write `what the table says = what it means`, one a line")]
        except Refused as refused:
            problems = [(p.pointer, p.message, p.remedy) for p in refused.problems or [Problem("", refused.detail)]]
    return page(
        "orders_columns.html",
        422 if problems else 200,
        filled=filled,
        seen=seen,
        fields=fields_of(known),
        statuses=_statuses(filled, read.statuses if read else seen.statuses),
        unknown=unknown_of(read, known),
        refunds=_refund_columns(read, filled),
        reasons=_reasons(read),
        read=read,
        planned=planned,
        problems=problems,
        left=left,
        changes=compared(base.book.lines, read.lines, read.set_aside) if base.book and read and not before else None,
        **shown,
    )


def _planned(
    service: Service, workshop_id: str, base: Base, filled: Filled, mapping: ColumnMapping, read: OrdersRead
) -> str:
    """Keep what was read and have it planned; gives the plan's id. Raises Refused."""
    table = Table(filled.file_name, remembered(filled), read, mapping.ref, filled.mode == "add")
    known = Known.of_campaign(base.campaign)
    return order_service.plan_with_table(service, workshop_id, base.plan_id, base.document, known, table)


def _statuses(filled: Filled, values: Mapping[str, int]) -> list[tuple[str, int, str, bool]]:
    """(value, rows, what it is said to be, whether it can be said at all) of the column marked as the status."""
    if "status" not in filled.columns.values():
        return []
    return [(value, rows, filled.statuses.get(value, ""), not never_counts(value)) for value, rows in values.items()]


def _refund_columns(read: OrdersRead | None, filled: Filled) -> list[str]:
    """Columns in which refunds or cancellations were found, and those the maker said do not matter."""
    found = {one.refund_in for one in read.set_aside} if read else set()
    return sorted(found.union(filled.ignored) - {""})


def _reasons(read: OrdersRead | None) -> list[tuple[SetAside, list[int]]]:
    """Rows set aside, those alike together: one of them, and the numbers of all; the most frequent first."""
    alike: dict[tuple[str, str], tuple[SetAside, list[int]]] = {}
    for one in read.set_aside if read else []:
        alike.setdefault((one.field, one.reason), (one, []))[1].append(one.row)
    return sorted(alike.values(), key=lambda group: -len(group[1]))


def _of_plan(service: Service, workshop_id: str, plan_id: str) -> Base:
    row, document, book = order_service.of_plan(service, workshop_id, plan_id)
    campaign = Campaign.model_validate_json(document)
    return Base(row.title, document, campaign, f"/plans/{plan_id}/orders", plan_id, book)

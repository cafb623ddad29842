"""Rows of the orders' table that are in no plan: why, put right on the page, given back as a table, planned with."""

import json
import time
from collections.abc import Mapping
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Query, Response
from fastapi.responses import RedirectResponse
from starlette.datastructures import FormData

from api.documents.order_book import Book, book_of, from_here_with, keep_mended, plan_from_here, plan_with
from api.exports.csv_lists import csv_bytes
from api.forms import form_of
from api.http.problems import NotFound
from api.pages.auth import PageMaker, PageReader, PageRoute
from api.pages.orders_form import Filled, mapping_of
from api.pages.templating import page
from api.plans.parameters import PlanId
from api.service import Service, TheService
from api.services.finding import find_plan
from api.uploads.book import ReadAgain, read_again
from api.uploads.document import planned_orders
from api.uploads.known import Known
from api.uploads.mapping import MappingProblem
from api.uploads.report import SetAside, set_aside_sheet
from planner.campaign import Campaign
from worker.records import floor, reading

router = APIRouter(prefix="/plans", route_class=PageRoute, include_in_schema=False)
AT_ONCE = 25
"""Rows on one page."""
AsideForm = Annotated[FormData, Depends(form_of(4_000_000, fields=10_000))]


@router.get("/{plan_id}/orders/aside")
def aside_page(
    plan_id: PlanId,
    service: TheService,
    caller: PageReader,
    first: Annotated[int, Query(alias="from", ge=0, le=1_000_000)] = 0,
    said: Annotated[int, Query(ge=-1, le=1_000_000)] = -1,
    forgotten: Annotated[int, Query(ge=-1, le=1_000_000)] = -1,
) -> Response:
    """The rows, a page of them, ready to be put right."""
    title, book, _ = _kept(service, caller.workshop_id, plan_id)
    return _shown(plan_id, title, book, first, said, forgotten)


@router.get("/{plan_id}/orders/aside.csv")
def aside_table(plan_id: PlanId, service: TheService, caller: PageReader) -> Response:
    """All of them as a table: the columns that are read, then why."""
    _, book, _ = _kept(service, caller.workshop_id, plan_id)
    headings, rows = set_aside_sheet(book.columns, book.asides)
    headers = {"Content-Disposition": 'attachment; filename="set-aside.csv"'}
    return Response(b"".join(csv_bytes(headings, rows)), 200, headers, "text/csv; charset=utf-8")


@router.post("/{plan_id}/orders/aside")
def put_right(plan_id: PlanId, service: TheService, caller: PageMaker, form: AsideForm) -> Response:
    """Reads the rows again with the cells that were typed, and keeps what came of it; or plans with all that are in."""
    sent = {name: str(value) for name, value in form.items() if isinstance(value, str)}
    first = int(sent["from"][:7]) if sent.get("from", "").isdecimal() else 0
    now = time.time()
    with service.database.write() as connection:
        row = find_plan(connection, caller.workshop_id, plan_id)
        book = book_of(connection, caller.workshop_id, row.moulding_campaign_id)
        document = reading.campaign_document(connection, caller.workshop_id, plan_id)
        if book is None or document is None:
            raise NotFound("No table of orders was brought to this campaign.")
        if sent.get("import") != book.row.id or sent.get("aside") != str(len(book.asides)):
            problem = "Somebody put rows right meanwhile; here they are as they stand now. Type your cells again."
            return _shown(plan_id, row.title, book, first, problem=problem, status=409)
        if "forget" in sent:
            kept = _without(book, sent)
            keep_mended(connection, caller.workshop_id, book.row.id, book.lines, kept, now)
            forgotten = len(book.asides) - len(kept)
            return RedirectResponse(f"/plans/{plan_id}/orders/aside?forgotten={forgotten}", 303)
        known = Known.of_campaign(Campaign.model_validate_json(document))
        try:
            whole = _read_again(book, sent, known)
        except MappingProblem as error:
            problem = "; ".join(f"{what}: {remedy}" for _, what, remedy in error.problems)
            return _shown(plan_id, row.title, book, first, problem=problem, status=422)
        keep_mended(connection, caller.workshop_id, book.row.id, whole.lines, whole.set_aside, now)
        if sent.get("do") == "plan":
            largest = service.settings.largest_budget
            if floor.packing_began(connection, caller.workshop_id, plan_id):
                here = from_here_with(connection, caller.workshop_id, plan_id, whole.lines, whole_table=False)
                made = plan_from_here(connection, caller.workshop_id, plan_id, here, largest, now)
            else:
                changed = planned_orders(whole.lines, known).into(json.loads(document))
                made = plan_with(connection, caller.workshop_id, plan_id, changed, largest, now)
    if sent.get("do") == "plan":
        service.sender.nudge()
        return RedirectResponse(f"/plans/{made}", 303)
    return RedirectResponse(f"/plans/{plan_id}/orders/aside?said={whole.taken}&from={first}", 303)


def _without(book: Book, sent: Mapping[str, str]) -> list[SetAside]:
    """The rows set aside without the one, or without all, that the maker wants forgotten."""
    if sent["forget"] == "all":
        return [] if sent.get("sure") == "yes" else book.asides
    return [aside for at, aside in enumerate(book.asides) if str(at) != sent["forget"]]


def _read_again(book: Book, sent: Mapping[str, str], known: Known) -> ReadAgain:
    filled = Filled(**{name: book.row.said[name] for name in book.row.said if name != "read"})
    mapping = mapping_of(filled, book.columns, known)
    mended = {}
    for at in range(len(book.asides)):
        cells = [sent.get(f"cell.{at}.{n}") for n in range(len(book.columns))]
        if any(cell is not None for cell in cells):
            mended[at] = [(cell or "").strip() for cell in cells]
    return read_again(book.columns, book.lines, book.asides, mended, mapping, known)


def _kept(service: Service, workshop_id: str, plan_id: str) -> tuple[str, Book, str]:
    with service.database.read() as connection:
        row = find_plan(connection, workshop_id, plan_id)
        book = book_of(connection, workshop_id, row.moulding_campaign_id)
        document = reading.campaign_document(connection, workshop_id, plan_id)
    if book is None or document is None:
        raise NotFound("No table of orders was brought to this campaign.")
    return row.title, book, document


def _shown(
    plan_id: str,
    title: str,
    book: Book,
    first: int,
    said: int = -1,
    forgotten: int = -1,
    problem: str = "",
    status: int = 200,
) -> Response:
    what: dict[str, Any] = {
        "plan_id": plan_id,
        "title": title,
        "book": book,
        "rows": list(enumerate(book.asides))[first : first + AT_ONCE],
        "first": first,
        "at_once": AT_ONCE,
        "said": said,
        "forgotten": forgotten,
        "problem": problem,
        "orders": sum(line.count for line in book.lines),
    }
    return page("orders_aside.html", status, **what)

"""Rows of the orders' table that are in no plan: why, put right on the page, given back as a table, planned with."""

from collections.abc import Mapping
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Query, Response
from fastapi.responses import RedirectResponse
from starlette.datastructures import FormData

from api.exports.csv_lists import csv_bytes
from api.http.forms import form_of
from api.pages.auth import PageMaker, PageReader, PageRoute
from api.pages.orders_form import Filled, mapping_of
from api.pages.templating import page
from api.plans.parameters import PlanId
from api.service import Service, TheService
from api.service.refusals import NotFound
from api.services import orders
from api.services.orders import NO_BOOK, Book, Mended
from api.uploads.book import ReadAgain, is_unseen, read_again
from api.uploads.known import Known
from api.uploads.mapping import MappingProblem
from api.uploads.report import SetAside, set_aside_sheet

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
    seen = (sent.get("import"), sent.get("aside"))
    taken, forgotten = 0, 0

    def again(book: Book, known: Known) -> Mended:
        nonlocal taken, forgotten
        if "forget" in sent:
            kept = _without(book, sent)
            forgotten = len(book.asides) - len(kept)
            return Mended(book.lines, kept)
        whole = _read_again(book, sent, known)
        taken = whole.taken
        return Mended(whole.lines, whole.set_aside)

    plan = sent.get("do") == "plan" and "forget" not in sent
    try:
        made = orders.mend(service, caller.workshop_id, plan_id, seen, again, plan)
    except orders.BookChanged:
        problem = "Somebody put rows right meanwhile; here they are as they stand now. Type your cells again."
        return _as_it_stands(service, caller.workshop_id, plan_id, first, problem, 409)
    except MappingProblem as error:
        problem = "; ".join(f"{what}: {remedy}" for _, what, remedy in error.problems)
        return _as_it_stands(service, caller.workshop_id, plan_id, first, problem, 422)
    if plan:
        return RedirectResponse(f"/plans/{made}", 303)
    told = f"forgotten={forgotten}" if "forget" in sent else f"said={taken}&from={first}"
    return RedirectResponse(f"/plans/{plan_id}/orders/aside?{told}", 303)


def _as_it_stands(service: Service, workshop_id: str, plan_id: str, first: int, problem: str, status: int) -> Response:
    title, book, _ = _kept(service, workshop_id, plan_id)
    return _shown(plan_id, title, book, first, problem=problem, status=status)


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
    all_the_same = {at for at in range(len(book.asides)) if sent.get(f"order.{at}") == "yes"}
    return read_again(book.columns, book.lines, book.asides, mended, mapping, known, all_the_same)


def _kept(service: Service, workshop_id: str, plan_id: str) -> tuple[str, Book, str]:
    row, document, book = orders.of_plan(service, workshop_id, plan_id)
    if book is None:
        raise NotFound(NO_BOOK)
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
        "asks": {at for at, one in enumerate(book.asides) if is_unseen(one, book.columns) or one.held_by is not None},
        "first": first,
        "at_once": AT_ONCE,
        "said": said,
        "forgotten": forgotten,
        "problem": problem,
        "orders": sum(line.count for line in book.lines),
    }
    return page("orders_aside.html", status, **what)

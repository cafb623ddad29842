"""GET /v1/plans/{id}/workbook.xlsx, calendar.ics, lists and lists/NAME.csv."""

from typing import Annotated

from fastapi import APIRouter, Path, Query, Response
from fastapi.responses import StreamingResponse
from pydantic import BaseModel, Field

from api.documents.calendar import What, calendar_of, named
from api.exports.csv_lists import csv_bytes
from api.exports.plan_lists import LIST_NAMES, plan_lists, shown_headings
from api.exports.plan_sheets import plan_sheets
from api.exports.workbook import workbook_pieces
from api.http.access import REFUSALS, Reader
from api.http.problems import answers
from api.http.sheets import AskedLanguage
from api.plans.parameters import PlanId, RevisionNumber
from api.service import TheService
from api.service.refusals import Conflict, NotFound
from api.services.published import find_published
from api.services.standing_promise import how_sure

router = APIRouter(prefix="/v1/plans", tags=["files"], responses=answers(*REFUSALS, NotFound, Conflict))
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
Delimiter = Annotated[str, Query(pattern="^[,;\t]$", description="comma, semicolon or tab")]


def _address(name: str) -> str:
    return name.lower().replace(" ", "-")


BY_ADDRESS = {_address(name): name for name in LIST_NAMES}
"""What stands in the address of a list -> its name."""


class PlanList(BaseModel):
    """One list of a plan."""

    name: str = Field(examples=["Pack-out"])
    headings: list[str]
    csv: str = Field(description="address of the list as CSV")


class PlanLists(BaseModel):
    """The lists there are, in the order of the work."""

    revision: int
    lists: list[PlanList]
    workbook: str = Field(description="address of all of them in one workbook")
    calendar: str


@router.get("/{plan_id}/workbook.xlsx", response_class=Response, summary="All lists in one workbook")
def workbook(
    plan_id: PlanId, service: TheService, caller: Reader, read: AskedLanguage, revision: RevisionNumber = None
) -> Response:
    """XLSX: a summary, cash by week, then one sheet a list; real dates and numbers, sums that follow a filter, headings
    frozen; moments on the campaign's wall clock."""
    shown = find_published(service, caller.workshop_id, plan_id, revision)
    read.begin()
    sure = how_sure(service, caller.workshop_id, plan_id, shown.revision).tiers or {}
    pieces = workbook_pieces(plan_sheets(shown.campaign, shown.plan, sure))
    return StreamingResponse(pieces, 200, named(shown, "xlsx"), XLSX)


@router.get("/{plan_id}/calendar.ics", response_class=Response, summary="Presses, benches, order-by days, pick-ups")
def calendar(
    plan_id: PlanId,
    service: TheService,
    caller: Reader,
    read: AskedLanguage,
    revision: RevisionNumber = None,
    what: What = "key",
) -> Response:
    """iCalendar (RFC 5545), in the campaign's time zone; the same event keeps its id from revision to revision."""
    shown = find_published(service, caller.workshop_id, plan_id, revision)
    read.begin()
    return calendar_of(service, caller.workshop_id, shown, what)


@router.get("/{plan_id}/lists", response_model=PlanLists, summary="Which lists there are")
def lists(plan_id: PlanId, service: TheService, caller: Reader, revision: RevisionNumber = None) -> PlanLists:
    """Names, headings and addresses."""
    shown = find_published(service, caller.workshop_id, plan_id, revision)
    here, asked = f"/v1/plans/{plan_id}", f"?revision={shown.revision}"
    return PlanLists(
        revision=shown.revision,
        lists=[
            PlanList(name=name, headings=list(headings), csv=f"{here}/lists/{_address(name)}.csv{asked}")
            for name, (headings, _) in plan_lists(shown.campaign, shown.plan).items()
        ],
        workbook=f"{here}/workbook.xlsx{asked}",
        calendar=f"{here}/calendar.ics{asked}",
    )


@router.get("/{plan_id}/lists/{name}.csv", response_class=Response, summary="One list as CSV")
def one_list(
    plan_id: PlanId,
    name: Annotated[str, Path(pattern="^[a-z-]{1,40}$", description="a list's name in small letters")],
    service: TheService,
    caller: Reader,
    read: AskedLanguage,
    revision: RevisionNumber = None,
    delimiter: Delimiter = ",",
) -> Response:
    """RFC 4180, UTF-8 with a byte order mark; no cell runs as a formula. Programs leave `language` out: then headings
    and texts are the same for everybody."""
    if name not in BY_ADDRESS:
        raise NotFound(f"There is no list `{name}`; there are {', '.join(BY_ADDRESS)}.")
    shown = find_published(service, caller.workshop_id, plan_id, revision)
    read.begin()
    _, rows = plan_lists(shown.campaign, shown.plan)[BY_ADDRESS[name]]
    headings = shown_headings(BY_ADDRESS[name], shown.plan.currency)
    headers = {"Content-Disposition": f'attachment; filename="{name}.csv"'}
    return StreamingResponse(csv_bytes(headings, rows, delimiter), 200, headers, "text/csv; charset=utf-8")

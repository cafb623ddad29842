"""GET /v1/plans/{id}/labels.csv and labels.pdf."""

from collections.abc import Iterable, Iterator
from dataclasses import fields, replace
from itertools import islice
from pathlib import Path
from typing import Annotated, Any

from fastapi import APIRouter, Query, Response
from fastapi.responses import StreamingResponse

from api.apart.typesetting import Size, typeset
from api.exports.csv_lists import csv_bytes
from api.http.access import REFUSALS, Reader
from api.http.problems import answers
from api.http.sheets import AskedSheets
from api.languages import gettext, wording
from api.plans.parameters import PlanId, RevisionNumber
from api.service import TheService
from api.service.refusals import Conflict, Invalid, NotFound
from api.services.published import Published, find_published
from planner.errors import Problem
from planner.plan.labels import Label, labels

router = APIRouter(prefix="/v1/plans", tags=["files"], responses=answers(*REFUSALS, NotFound, Conflict))
SHEET = Path(__file__).parent / "sheets" / "labels.typ"
MOST_PRINTED = 2000
"""Labels in one PDF; a larger plan is printed pick-up by pick-up, or page by page."""
Wanted = Annotated[str | None, Query(alias="dispatch", description="labels of one pick-up; none: of all")]

OwnText = Annotated[
    str | None,
    Query(alias="text", max_length=300, description="the maker's own on each parcel's label; none: the campaign's"),
]


@router.get("/{plan_id}/labels.csv", response_class=Response, summary="Labels of parcels and pallets as CSV")
def label_list(
    plan_id: PlanId,
    service: TheService,
    caller: Reader,
    wanted: Wanted = None,
    text: OwnText = None,
    revision: RevisionNumber = None,
) -> Response:
    """One row a label, for a label printer's program; codes as `(00)` and 18 digits, so that they stay text."""
    shown = _with_dispatch(find_published(service, caller.workshop_id, plan_id, revision), wanted)
    headings = [field.name.replace("_", " ") for field in fields(Label)]
    rows = (_row(label) for label in _labels(shown, wanted, text))
    headers = {"Content-Disposition": f'attachment; filename="labels-{shown.row.id}.csv"'}
    return StreamingResponse(csv_bytes(headings, rows), 200, headers, "text/csv; charset=utf-8")


@router.get("/{plan_id}/labels.pdf", response_class=Response, summary="Print labels of parcels and pallets")
def label_sheets(
    plan_id: PlanId,
    service: TheService,
    caller: Reader,
    sheets: AskedSheets,
    wanted: Wanted = None,
    skip: Annotated[int, Query(ge=0, description="labels left out at the beginning")] = 0,
    text: OwnText = None,
    revision: RevisionNumber = None,
) -> Response:
    """Ten on a sheet; at most 2,000 at a time."""
    shown = _with_dispatch(find_published(service, caller.workshop_id, plan_id, revision), wanted)
    some = islice(_labels(shown, wanted, text), skip, skip + MOST_PRINTED)
    headers = {"Content-Disposition": f'inline; filename="labels-{shown.row.id}.pdf"'}
    sheets.begin()
    return Response(print_labels(some, sheets.size), 200, headers, "application/pdf")


def _labels(shown: Published, wanted: str | None, text: str | None) -> Iterator[Label]:
    """In the order of work. text: on parcels, in place of the campaign's."""
    for label in labels(shown.campaign, shown.plan, wanted or None):
        yield label if text is None or label.kind != "parcel" else replace(label, text=text.strip())


def print_labels(some: Iterable[Label], size: Size) -> bytes:
    """The labels as PDF."""
    return typeset(SHEET, list(_written(some)), size)


def _written(some: Iterable[Label]) -> Iterator[dict[str, Any]]:
    for label in some:
        to = gettext("%(tier)s to %(region)s") % {"tier": label.tier, "region": wording.region(label.region)}
        whose = f" · {wording.work_name(label.batch)} · {to}{wording.part_of(label)}"
        left = f"{wording.work_name(label.dispatch)}, {wording.day(label.at)}"
        yield {
            "top": gettext("Pallet") if label.kind == "pallet" else label.order or label.tier,
            "country": label.country,
            "under": left + (whose if label.kind == "parcel" else ""),
            "contents": label.contents,
            "text": label.text,
            "weight": _weight(label),
            "number": gettext("%(n)s of %(all)s") % {"n": label.number, "all": label.of},
            "code": _code(label),
        }


def _weight(label: Label) -> str:
    if label.gross_kg is None:
        return ""
    return gettext("%(kg)s gross") % {"kg": wording.kilograms(label.gross_kg)} + f", {label.carton}"


def _row(label: Label) -> tuple[Any, ...]:
    kg = None if label.gross_kg is None else round(label.gross_kg, 3)
    return tuple((vars(label) | {"gross_kg": kg, "code": _code(label)}).values())


def _code(label: Label) -> str:
    return f"(00){label.code}" if label.code else ""


def _with_dispatch(shown: Published, wanted: str | None) -> Published:
    known = [one.id for one in shown.plan.dispatches]
    if wanted and wanted not in known:
        named = ", ".join(known[:12])
        raise Invalid("Parameters or headers do not fit.", [Problem("dispatch", "no such pick-up", f"use {named}")])
    return shown

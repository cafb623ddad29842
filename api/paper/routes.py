"""GET /v1/plans/{id}/paper: the workshop's paper as data or as PDF."""

from typing import Annotated

from fastapi import APIRouter, Header, Request, Response

from api.apart.typesetting import Size
from api.http import negotiation
from api.http.access import REFUSALS, Reader
from api.http.problems import answers
from api.http.sheets import AskedSheets
from api.paper.content import Paper
from api.paper.setting import print_pdf
from api.paper.writing import write_paper
from api.pictures.colours import swatches
from api.plans.parameters import PlanId, RevisionNumber
from api.service import Service, TheService
from api.service.refusals import Conflict, Invalid, NotAcceptable, NotFound
from api.services.published import Published, find_published
from api.services.standing_promise import how_sure
from api.serving.reach import reached_at

router = APIRouter(prefix="/v1/plans", tags=["paper"], responses=answers(*REFUSALS))
PDF = "application/pdf"


@router.get(
    "/{plan_id}/paper",
    response_model=Paper,
    summary="Read the workshop's paper",
    responses=answers(NotFound, NotAcceptable, Conflict, Invalid)
    | {200: {"content": {PDF: {"schema": {"type": "string", "format": "binary"}}}}},
)
def read_paper(
    plan_id: PlanId,
    request: Request,
    service: TheService,
    caller: Reader,
    sheets: AskedSheets,
    accept: Annotated[str | None, Header()] = None,
    revision: RevisionNumber = None,
) -> Response:
    """JSON: every figure that is on the sheets. With `Accept: application/pdf`: the sheets."""
    shown = find_published(service, caller.workshop_id, plan_id, revision)
    paper = _paper(shown, request, service, caller.workshop_id)
    if negotiation.choose(accept, ["application/json", PDF]) == PDF:
        sheets.begin()
        return _pdf(paper, shown, sheets.size)
    return Response(paper.model_dump_json(by_alias=True), 200, {"Vary": "Accept"}, "application/json")


@router.get(
    "/{plan_id}/paper.pdf",
    summary="Print the workshop's paper",
    response_class=Response,
    responses=answers(NotFound, Conflict, Invalid)
    | {200: {"content": {PDF: {"schema": {"type": "string", "format": "binary"}}}}},
)
def print_paper(
    plan_id: PlanId,
    request: Request,
    service: TheService,
    caller: Reader,
    sheets: AskedSheets,
    revision: RevisionNumber = None,
) -> Response:
    """The same PDF under an address a browser can follow."""
    shown = find_published(service, caller.workshop_id, plan_id, revision)
    paper = _paper(shown, request, service, caller.workshop_id)
    sheets.begin()
    return _pdf(paper, shown, sheets.size)


def _paper(shown: Published, request: Request, service: Service, workshop_id: str) -> Paper:
    asked = f"{request.url.scheme}://{request.url.netloc}"
    address = f"{reached_at(service.settings, asked) or asked}/plans/{shown.row.id}"
    sure = how_sure(service, workshop_id, shown.row.id, shown.revision)
    return write_paper(shown.plan, shown.campaign, shown.revision, address, sure)


def _pdf(paper: Paper, shown: Published, size: Size) -> Response:
    pdf = print_pdf(paper, swatches(shown.campaign.colours), size)
    headers = {"Content-Disposition": f'inline; filename="workshop-{size}.pdf"', "Vary": "Accept"}
    return Response(pdf, 200, headers, PDF)

"""POST /v1/plans/{id}/orders/columns, then /orders: a table of orders against a plan's campaign. Nothing is kept here:
the answer holds the order lines for a campaign document, and every row that was not taken."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, Any, BinaryIO, TypeVar

from anyio import to_thread
from fastapi import APIRouter, Header, Request, Response
from starlette.datastructures import FormData, UploadFile

from api.documents.order_answers import OrderColumns, OrdersAnswer, TableColumns, answer_json
from api.exports.csv_lists import csv_bytes
from api.http import negotiation
from api.http.access import REFUSALS, Reader
from api.http.bodies import valid
from api.http.forms import FORM_BYTES, read_form
from api.http.problems import answers
from api.http.strict_json import NotJson, parse
from api.plans.parameters import PlanId
from api.service import Service, TheService
from api.service.refusals import BadRequest, Invalid, NotAcceptable, NotFound, TooLarge, WrongMediaType
from api.services import plans
from api.uploads.add_ons import NOTHING
from api.uploads.apart import read_table
from api.uploads.known import Known
from api.uploads.limits import Limits, UnreadableFile
from api.uploads.mapping import MappingProblem
from api.uploads.orders import rows_given_back
from api.uploads.rows import Where
from api.uploads.suggest import preview
from planner.campaign import Campaign
from planner.dispatch.countries import NAMES
from planner.errors import Problem

router = APIRouter(prefix="/v1/plans", tags=["orders"], responses=answers(*REFUSALS))
REFUSED = (BadRequest, NotFound, NotAcceptable, TooLarge, WrongMediaType, Invalid)
Answer = TypeVar("Answer")
_SHEET = {"type": "string", "description": "sheet of a workbook; none: the first with headings"}
_HEADING_ROW = {"type": "integer", "minimum": 1, "description": "row with the headings; none: found below any title"}
_FILE = {"type": "string", "format": "binary", "description": "CSV or XLSX, one row an order"}


def _body(**fields: dict[str, Any]) -> dict[str, Any]:
    where = {"sheet": _SHEET, "heading_row": _HEADING_ROW}
    schema = {"type": "object", "required": ["file", *fields], "properties": {"file": _FILE, **fields, **where}}
    return {"requestBody": {"required": True, "content": {"multipart/form-data": {"schema": schema}}}}


_MAPPING = {"type": "string", "contentMediaType": "application/json", "description": "JSON: OrderColumns"}


@dataclass(frozen=True)
class Sent:
    """A form: the table, the mapping as text, and where in the file the table is."""

    file: BinaryIO
    mapping: str
    where: Where


@router.post(
    "/{plan_id}/orders/columns",
    response_model=TableColumns,
    summary="Look at a table of orders",
    openapi_extra=_body(),
    responses=answers(*REFUSED),
)
async def columns(plan_id: PlanId, request: Request, service: TheService, caller: Reader) -> TableColumns:
    """Its columns, a few rows, and what each column probably means. Columns with personal data are named, not read."""

    def look(sent: Sent, known: Known) -> TableColumns:
        return TableColumns.of(read_table(sent.file, Limits(), sent.where, preview, known))

    return await _with_form(request, service, caller.workshop_id, plan_id, look)


@router.post(
    "/{plan_id}/orders",
    response_model=OrdersAnswer,
    summary="Read a table of orders",
    openapi_extra=_body(mapping=_MAPPING),
    responses=answers(*REFUSED) | negotiation.also_as("text/csv"),
)
async def orders(
    plan_id: PlanId,
    request: Request,
    service: TheService,
    caller: Reader,
    accept: Annotated[str | None, Header()] = None,
) -> Response:
    """Order lines for the campaign document, rows set aside with reason and remedy, repeats, dropped columns, counts.

    With `Accept: text/csv`: your table again with only the rows set aside and why, to be mended and sent again.
    """
    form = negotiation.choose(accept, ["application/json", "text/csv"])

    def take(sent: Sent, known: Known) -> Response:
        wanted = _mapping(sent.mapping, known, service.settings.deepest_body)
        asked = (wanted.mapping(), known, wanted.safety_share)
        if form == "text/csv":
            headings, rows = read_table(sent.file, Limits(), sent.where, rows_given_back, *asked[:2])
            headers = {"Content-Disposition": 'attachment; filename="set-aside.csv"', "Vary": "Accept"}
            return Response(b"".join(csv_bytes(headings, rows)), 200, headers, "text/csv; charset=utf-8")
        answer = read_table(sent.file, Limits(), sent.where, answer_json, *asked)
        return Response(answer, 200, {"Vary": "Accept"}, "application/json")

    return await _with_form(request, service, caller.workshop_id, plan_id, take)


async def _with_form(
    request: Request, service: Service, workshop_id: str, plan_id: str, work: Callable[[Sent, Known], Answer]
) -> Answer:
    """The form read within bounds and worked on beside the event loop. Raises Refused."""
    known = await to_thread.run_sync(_known, service, workshop_id, plan_id)
    form = await _form(request)
    try:
        file, mapping = form.get("file"), form.get("mapping", "")
        if not isinstance(file, UploadFile):
            problem = Problem("file", "there is no file in the form", "send the table as the form's `file`")
            raise Invalid("The form holds no table.", [problem])
        try:
            where = Where.said(str(form.get("sheet", "")), str(form.get("heading_row", "")))
            sent = Sent(file.file, mapping if isinstance(mapping, str) else "", where)
            return await to_thread.run_sync(work, sent, known)
        except UnreadableFile as error:
            raise Invalid("The file cannot be read.", [Problem("file", error.reason, error.remedy)]) from None
        except MappingProblem as error:
            raise Invalid("The mapping does not fit the table.", [Problem(*one) for one in error.problems]) from None
    finally:
        await form.close()


def _known(service: Service, workshop_id: str, plan_id: str) -> Known:
    document = plans.campaign_text(service, workshop_id, plan_id)
    return Known.of_campaign(Campaign.model_validate_json(document.removeprefix("\ufeff")))


async def _form(request: Request) -> FormData:
    """A form with one file; reads no more of it than a table may hold, large files lie on disk."""
    if not request.headers.get("content-type", "").startswith("multipart/form-data"):
        raise WrongMediaType("Send multipart/form-data with the table as `file`.")
    return await read_form(request, Limits().file_bytes + FORM_BYTES, fields=6, longest=FORM_BYTES)


def _mapping(text: str, known: Known, deepest: int) -> OrderColumns:
    """What the maker says of the columns. Raises Invalid."""
    try:
        parsed = parse(text.encode() or b"null", deepest)
    except NotJson as error:
        problem = Problem("mapping", str(error), 'send the mapping as JSON, e.g. {"tier": "Reward"}')
        raise Invalid("The mapping cannot be read.", [problem]) from None
    wanted = valid(OrderColumns, parsed)
    ids = {
        "tier": set(known.tiers),
        "colour": set(known.colourways),
        "country": set(NAMES),
        "add_on": known.add_ons | {NOTHING},
    }
    problems = [
        Problem(f"/wordings/{field}/{wording}", f"`{meant}` is no {field}", "name one that the campaign has")
        for field, said in wanted.wordings.items()
        for wording, meant in said.items()
        if meant not in ids[field]
    ]
    if problems:
        raise Invalid("The mapping names what is not there.", problems)
    return wanted

"""POST /v1/purge/colour-changes: what every change between some colours costs on a barrel, without a plan."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated

from anyio import to_thread
from fastapi import APIRouter, Depends, Header, Query, Request, Response
from fastapi.responses import RedirectResponse

from api.http import negotiation
from api.http.access import REFUSALS, Reader
from api.http.bodies import BODY_REFUSALS
from api.http.problems import answers
from api.http.sheets import Written
from api.purge.lists import as_csv
from api.purge.picture import changes_svg
from api.purge.question import EXAMPLE, PurgeQuestion, answered, read_question
from api.purge.schemas import ColourChanges, colour_changes
from api.service import TheService
from api.service.refusals import Invalid, NotAcceptable
from planner.campaign.materials import Look

router = APIRouter(prefix="/v1/purge", tags=["purge"], responses=answers(*REFUSALS))
FORMS = ["application/json", "image/svg+xml", "text/csv"]
Width = Annotated[int, Query(ge=320, le=4000, description="width of the drawing, user units")]


@dataclass(frozen=True)
class Drawing(Written):
    """A picture as the query asks for it."""

    width: Width = 1000


AskedDrawing = Annotated[Drawing, Depends()]
MOVED: dict[int | str, dict[str, object]] = {308: {"description": "It has moved: `Location` says where to."}}


def question_body() -> dict[str, object]:
    """What OpenAPI says about a question, with an example."""
    schema = {"$ref": f"#/components/schemas/{PurgeQuestion.__name__}"}
    return {"requestBody": {"required": True, "content": {"application/json": {"schema": schema, "example": EXAMPLE}}}}


def in_form(said: ColourChanges, looks: Mapping[str, Look], form: str, drawing: Drawing) -> Response:
    """The changes in one of FORMS. looks: of each colour by name; drawing: how the picture is drawn."""
    headers = {"Vary": "Accept", "Cache-Control": "no-store"}
    if form == "image/svg+xml":
        drawing.begin()
        return Response(changes_svg(said, looks, float(drawing.width)), 200, headers, form)
    if form == "text/csv":
        headers["Content-Disposition"] = 'attachment; filename="colour-changes.csv"'
        return Response(as_csv(said), 200, headers, form)
    return Response(said.model_dump_json(by_alias=True), 200, headers, form)


def moved(request: Request, old: str, new: str) -> Response:
    """Where an address of the version before leads: the same method, body and parameters."""
    url = request.url.replace(path=request.url.path.removesuffix(old) + new)
    return RedirectResponse(f"{url.path}?{url.query}" if url.query else url.path, 308)


FORMS_SAID = negotiation.also_as("image/svg+xml", "text/csv")


@router.post(
    "/colour-changes",
    response_model=ColourChanges,
    summary="What every colour change costs on a barrel",
    openapi_extra=question_body(),
    responses=FORMS_SAID | answers(*BODY_REFUSALS, NotAcceptable),
)
async def ask_colour_changes(
    request: Request,
    service: TheService,
    caller: Reader,
    drawing: AskedDrawing,
    accept: Annotated[str | None, Header()] = None,
) -> Response:
    """kg, range, shots, minutes, money and basis of every ordered pair; nothing is recorded.

    With `Accept: image/svg+xml` a picture, with `text/csv` a list.
    """
    form = negotiation.choose(accept, FORMS)
    question = await read_question(request, service.settings.deepest_body)

    def answer() -> Response:
        table = answered(question, service, caller.workshop_id)
        asked = question.barrel
        said = colour_changes(table, question.prices.currency, asked.press, asked.barrel)
        return in_form(said, question.colours, form, drawing)

    return await to_thread.run_sync(answer)


@router.post(
    "/matrix",
    deprecated=True,
    status_code=308,
    response_class=Response,
    summary="The address of colour changes before; goes with the next version",
    responses=MOVED | answers(Invalid),
)
def ask_colour_changes_before(request: Request, caller: Reader, width: Width = 1000) -> Response:
    """Leads to `/v1/purge/colour-changes`."""
    return moved(request, "matrix", "colour-changes")

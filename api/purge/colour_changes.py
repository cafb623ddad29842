"""POST /v1/purge/colour-changes: what every change between some colours costs on a barrel, without a plan."""

from typing import Annotated

from anyio import to_thread
from fastapi import APIRouter, Header, Request, Response

from api.http import negotiation
from api.http.access import REFUSALS, Reader
from api.http.bodies import BODY_REFUSALS
from api.http.problems import answers
from api.purge.forms import FORMS, FORMS_SAID, MOVED, AskedDrawing, Width, in_form, moved, question_body
from api.purge.question import answered, read_question
from api.purge.schemas import ColourChanges, colour_changes
from api.service import TheService
from api.service.refusals import Invalid, NotAcceptable

router = APIRouter(prefix="/v1/purge", tags=["purge"], responses=answers(*REFUSALS))


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

"""POST /v1/purge/matrix: what every change between some colours costs on a barrel, without a plan."""

from typing import Annotated

from anyio import to_thread
from fastapi import APIRouter, Header, Request, Response

from api import negotiation
from api.access import REFUSALS, Reader
from api.bodies import BODY_REFUSALS
from api.problems import NotAcceptable, answers
from api.purge.lists import as_csv
from api.purge.picture import picture
from api.purge.question import EXAMPLE, PurgeQuestion, answered, read_question
from api.purge.schemas import PurgeMatrix, matrix
from api.service import TheService

router = APIRouter(prefix="/v1/purge", tags=["purge"], responses=answers(*REFUSALS))
FORMS = ["application/json", "image/svg+xml", "text/csv"]


def question_body() -> dict[str, object]:
    """What OpenAPI says about a question, with an example."""
    schema = {"$ref": f"#/components/schemas/{PurgeQuestion.__name__}"}
    return {"requestBody": {"required": True, "content": {"application/json": {"schema": schema, "example": EXAMPLE}}}}


def in_form(said: PurgeMatrix, form: str) -> Response:
    """The matrix in one of FORMS."""
    headers = {"Vary": "Accept", "Cache-Control": "no-store"}
    if form == "image/svg+xml":
        return Response(picture(said), 200, headers, form)
    if form == "text/csv":
        return Response(as_csv(said), 200, headers | {"Content-Disposition": 'attachment; filename="purge.csv"'}, form)
    return Response(said.model_dump_json(by_alias=True), 200, headers, form)


FORMS_SAID = negotiation.also_as("image/svg+xml", "text/csv")


@router.post(
    "/matrix",
    response_model=PurgeMatrix,
    summary="What every colour change costs on a barrel",
    openapi_extra=question_body(),
    responses=FORMS_SAID | answers(*BODY_REFUSALS, NotAcceptable),
)
async def ask_matrix(
    request: Request, service: TheService, caller: Reader, accept: Annotated[str | None, Header()] = None
) -> Response:
    """kg, range, shots, minutes, money and basis of every ordered pair; nothing is recorded.

    With `Accept: image/svg+xml` a grid in the real colours with the kilograms in its cells, with `text/csv` a list.
    """
    form = negotiation.choose(accept, FORMS)
    question = await read_question(request, service.settings.deepest_body)

    def answer() -> Response:
        table = answered(question, service, caller.workshop_id)
        asked = question.barrel
        return in_form(matrix(table, question.prices.currency, asked.press, asked.barrel), form)

    return await to_thread.run_sync(answer)

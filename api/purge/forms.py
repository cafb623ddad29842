"""Colour changes as they are given out, a document, a picture or a list; and where they used to be."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated

from fastapi import Depends, Query, Request, Response
from fastapi.responses import RedirectResponse

from api.http import negotiation
from api.http.sheets import Written
from api.purge.lists import as_csv
from api.purge.picture import changes_svg
from api.purge.question import EXAMPLE, PurgeQuestion
from api.purge.schemas import ColourChanges
from planner.campaign.materials import Look

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

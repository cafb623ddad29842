"""/problems: what each type of problem document means, and what to do about it; for programs and for people."""

from typing import Annotated

from fastapi import APIRouter, Header, Path, Response
from pydantic import BaseModel, Field

from api.http import negotiation
from api.http.problems import answers
from api.pages.templating import page
from api.service.refusals import KINDS, NotAcceptable, NotFound, Refused

router = APIRouter(prefix="/problems", tags=["problems"])
_FORMS = ["application/json", "text/html"]
Accept = Annotated[str | None, Header()]


class ProblemKind(BaseModel):
    """One type of problem document."""

    type: str = Field(examples=["/problems/campaign"], description="as in the problem document")
    title: str
    status: int = Field(description="the HTTP status it comes with, as a rule")
    meaning: str
    remedy: str


class ProblemKinds(BaseModel):
    """Every type there is."""

    problems: list[ProblemKind]


def kind_of(refused: type[Refused]) -> ProblemKind:
    """The class as the page says it."""
    return ProblemKind(
        type=f"/problems/{refused.kind}",
        title=refused.title,
        status=int(refused.status),
        meaning=" ".join((refused.__doc__ or "").split()),
        remedy=refused.remedy,
    )


_BY_KIND = {refused.kind: kind_of(refused) for refused in KINDS}
_ANSWERS = negotiation.also_as("text/html")


@router.get("", response_model=ProblemKinds, summary="List problem types", responses=_ANSWERS | answers(NotAcceptable))
def list_kinds(accept: Accept = None) -> Response:
    """What `type` in a problem document can be."""
    if negotiation.choose(accept, _FORMS) == "text/html":
        return page("problem_kinds.html", kinds=list(_BY_KIND.values()))
    return _said(ProblemKinds(problems=list(_BY_KIND.values())))


@router.get(
    "/{kind}",
    response_model=ProblemKind,
    summary="Explain a problem type",
    responses=_ANSWERS | answers(NotFound, NotAcceptable),
)
def explain_kind(kind: Annotated[str, Path(pattern="^[a-z-]{1,40}$")], accept: Accept = None) -> Response:
    """What it means, and what to do about it."""
    found = _BY_KIND.get(kind)
    if found is None:
        raise NotFound("There is no such type of problem; /problems lists them all.")
    if negotiation.choose(accept, _FORMS) == "text/html":
        return page("problem_kinds.html", kinds=[found])
    return _said(found)


def _said(document: BaseModel) -> Response:
    return Response(document.model_dump_json(), 200, {"Vary": "Accept"}, "application/json")

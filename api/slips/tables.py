"""POST /v1/plans/{id}/slip-table, /levers, /elsewhere, /knowing: studies, worked out by the workers, streamed as lines
of NDJSON."""

from typing import Annotated, Any

from anyio import to_thread
from fastapi import APIRouter, Header, Response
from fastapi.responses import StreamingResponse
from pydantic import BaseModel, Field

from api.http import negotiation
from api.http.access import REFUSALS
from api.http.bodies import BODY_REFUSALS, fitting, json_body
from api.http.problems import answers
from api.plans.parameters import Prefer
from api.plans.queued import PlanAsked, PlanRequest
from api.service.refusals import Conflict, Invalid, NotAcceptable, NotFound, TooMany
from api.studies.asking import NDJSON, ask_by, finished, lines, study_id_in, whole
from api.studies.schemas import StudyState
from planner.planning.anew import ANEW_ROUNDS
from planner.slips.document import Goal
from planner.slips.study import SLIPS

router = APIRouter(prefix="/v1/plans", tags=["what if"], responses=answers(*REFUSALS))
JSON = "application/json"
Days = Annotated[int, Field(ge=1, le=365)]
Accept = Annotated[
    str | None,
    Header(description=f"`{NDJSON}`: all of it as it comes; `{JSON}`: 202 at once, or what `Prefer: wait=N` waits for"),
]


class Question(BaseModel):
    """What is asked of a plan."""

    model_config = {"extra": "forbid"}

    def put(self) -> dict[str, Any]:
        """As the study keeps it: two that ask the same are the same."""
        return self.model_dump()


class SlipQuestion(Question):
    """What to look at; everything may be left out."""

    slips: list[Days] = Field(default=list(SLIPS), min_length=1, max_length=12, description="calendar days")
    only: list[str] = Field(default=[], max_length=1500, description="what to look at by name; none named: all")
    rounds: int = Field(default=ANEW_ROUNDS, ge=0, le=200, description="search rounds where planned anew")

    def put(self) -> dict[str, Any]:
        """Whatever the order and however often something was named."""
        question = super().put()
        return question | {"slips": sorted(set(question["slips"])), "only": sorted(set(question["only"]))}


class LeverQuestion(Question):
    """What is wanted."""

    tier: str | None = Field(default=None, max_length=40, description="the tier to bring forward; none: all together")
    goal: Goal = Field(default="either", description="sooner: only what brings the tier forward; less waste: only that")


class ElsewhereQuestion(Question):
    """Which runs."""

    tool: str = Field(max_length=200)
    colours: list[Annotated[str, Field(max_length=200)]] = Field(
        default=[], max_length=2, description="one per barrel of the tool; none: all its runs"
    )


class KnowingQuestion(Question):
    """All that is unsure is looked into; beyond that, what it would be worth if things were sure."""

    values: dict[str, Annotated[float, Field(ge=-3650, le=1e6, allow_inf_nan=False)]] = Field(
        default={},
        max_length=20,
        description="thing (a factor as promises name it) -> the value it would be sure to have: days, or a share of "
        "what is planned, e.g. `piece/felt-sleeve`: -5",
    )


def _forms(what: str) -> dict[int | str, dict[str, Any]]:
    whole = {"schema": {"$ref": "#/components/schemas/StudyAnswer"}}
    return answers(NotFound, Conflict, Invalid, TooMany, NotAcceptable, *BODY_REFUSALS) | {
        200: {
            "description": f"{what}; `fault` where the workers could not answer. As JSON: the finished study.",
            "content": {NDJSON: {"schema": {"type": "string"}}, JSON: whole},
        },
        202: {"model": StudyState, "description": "being worked out: `Location` says where to look"},
    }


@router.post(
    "/{plan_id}/slip-table",
    summary="The slip table",
    response_class=StreamingResponse,
    openapi_extra=json_body(SlipQuestion),
    responses=_forms(
        "one JSON object a line: `begun` with the number of cells, then `cell` and `row` as they are worked out, in "
        "the end `table` with the names of all rows, worst first"
    ),
)
async def slip_table(
    asked: PlanAsked,
    accept: Accept = None,
    prefer: Prefer = None,
) -> Response:
    """For every tool, bought-in piece, resin and masterbatch: what a slip does to each tier's dates, to the people who
    wait and to the cost, if nothing else changes and if the plan is made anew; every cell is a plan that was written
    out and audited. One that was planned as a variant too says what that says."""
    return await _answered(asked, "slip-table", SlipQuestion, accept, prefer)


@router.post(
    "/{plan_id}/levers",
    summary="What would help",
    response_class=StreamingResponse,
    openapi_extra=json_body(LeverQuestion),
    responses=_forms(
        "one JSON object a line: `begun` with the number of changes tried, `lever` for each that helps as it is "
        "planned, in the end `best`: up to ten, cheapest first"
    ),
)
async def levers(
    asked: PlanAsked,
    accept: Accept = None,
    prefer: Prefer = None,
) -> Response:
    """Changes that would bring a tier forward or cut waste, each planned and priced: send one's patch as a variant."""
    return await _answered(asked, "levers", LeverQuestion, accept, prefer)


@router.post(
    "/{plan_id}/elsewhere",
    summary="What runs would cost on another press",
    response_class=StreamingResponse,
    openapi_extra=json_body(ElsewhereQuestion),
    responses=_forms(
        "one JSON object a line: `begun` with how many presses could take them, `press` for each as it is planned, in "
        "the end `priced`, cheapest first"
    ),
)
async def elsewhere(
    asked: PlanAsked,
    accept: Accept = None,
    prefer: Prefer = None,
) -> Response:
    """The campaign planned with these runs on each other press that fits, and as long without: what it costs more, and
    what it does to each tier's dates. To have it so, add a wish."""
    return await _answered(asked, "elsewhere", ElsewhereQuestion, accept, prefer)


@router.post(
    "/{plan_id}/knowing",
    summary="What knowing is worth",
    response_class=StreamingResponse,
    openapi_extra=json_body(KnowingQuestion),
    responses=_forms(
        "one JSON object a line: `begun` with how many things at most, `known` for each as it is worked out, in the "
        "end `ranked`: what it saves on average to know a thing today, worth most first; within the noise no rank"
    ),
)
async def knowing(
    asked: PlanAsked,
    accept: Accept = None,
    prefer: Prefer = None,
) -> Response:
    """For each thing that is not sure: what knowing it today saves on average, with its standard error, and what the
    plan costs on average if the thing were sure to go as planned. This names the call to make this morning."""
    return await _answered(asked, "knowing", KnowingQuestion, accept, prefer)


async def _answered(
    asked: PlanRequest, kind: str, model: type[Question], accept: str | None, prefer: str | None
) -> Response:
    """The study in the form that is accepted: line by line as it comes, or whole if it is over in time."""
    form = negotiation.choose(accept, [NDJSON, JSON])
    body, parsed = await asked.json()
    answer = await ask_by(asked, kind, (await fitting(model, parsed)).put(), body)
    study_id = study_id_in(answer)
    where = {"Location": f"/v1/studies/{study_id}"}
    if form == NDJSON:
        headers = where | {"Cache-Control": "no-store", "Vary": "Accept"}
        return StreamingResponse(lines(asked.service, study_id), media_type=NDJSON, headers=headers)
    wait = negotiation.preferred_wait(prefer)
    row = await finished(asked.service, asked.workshop_id, study_id, wait) if wait > 0 else None
    if row is None:
        return answer
    done = await to_thread.run_sync(whole, asked.service, row)
    done.headers.update(where | {"Preference-Applied": f"wait={wait:.0f}", "Vary": "Accept"})
    return done

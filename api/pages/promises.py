"""Dates with how sure they are: simulated by the workers when somebody wants them."""

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Form, Query, Request, Response
from fastapi.responses import RedirectResponse

from api.pages.auth import PageMaker, PageReader, PageRoute
from api.pages.study import begin, standing
from api.pages.study import said as so_far
from api.pages.templating import drawn, of_plan, page
from api.pictures.dispatches import dispatch_svg
from api.plans.parameters import PlanId
from api.service import TheService
from api.services.published import find_published
from api.services.standing_promise import sure_of, two_errors
from planner.promise.document import CONFIDENCE, Promise
from planner.studies.promise import PRELIMINARY
from worker.records.ids import PATTERN
from worker.records.statuses import OPEN

router = APIRouter(prefix="/plans", route_class=PageRoute, include_in_schema=False)
Confidence = Annotated[float, Form(ge=0.5, le=0.99)]
LEAST_DAYS = 0.5
"""A reason that shifts a date by less is not said."""
FIRST = 2
"""How many reasons of each tier are among those said."""


@dataclass(frozen=True)
class Reason:
    """What makes dates unsure, once for all tiers it shifts. least, most: days by which it shifts a tier's date."""

    about: str
    tiers: list[str]
    least: int
    most: int
    every: bool


def reasons(promise: Promise) -> tuple[list[Reason], list[str]]:
    """What shifts dates most, the greatest first; and the tiers whose date nothing shifts by a day or more."""
    shifts = {t.tier: {d.about: d.days for d in t.drivers if d.days >= LEAST_DAYS} for t in promise.tiers}
    said: dict[str, float] = {}
    for mine in shifts.values():
        for about in sorted(mine, key=lambda about: -mine[about])[:FIRST]:
            said[about] = max(said.get(about, 0.0), mine[about])
    found = []
    for about in sorted(said, key=lambda about: -said[about]):
        days = {tier: max(1, round(mine[about])) for tier, mine in shifts.items() if about in mine}
        every = 1 < len(days) == len(shifts)
        found.append(Reason(about, list(days), min(days.values()), max(days.values()), every))
    return found, [tier for tier, mine in shifts.items() if not mine]


@router.get("/{plan_id}/promises")
def promises(
    plan_id: PlanId,
    request: Request,
    service: TheService,
    caller: PageReader,
    study: Annotated[str | None, Query(pattern=PATTERN)] = None,
) -> Response:
    """The question, and once it is answered the dates."""
    shown = find_published(service, caller.workshop_id, plan_id)
    standing_ = standing(request, plan_id, "promise", study, shown.revision)
    said, picture = None, ""
    if standing_ and standing_["result"]:
        said = promised = Promise.model_validate(standing_["result"])
        picture = drawn(lambda: dispatch_svg(shown.plan, None, sure_of(promised), framed=True))
    elif standing_ and standing_["status"] in OPEN and (early := so_far(standing_, PRELIMINARY)):
        said = Promise.model_validate(early[-1])
    return page(
        "promises.html",
        here="promises",
        **of_plan(shown),
        study=standing_,
        waits=standing_ is not None and standing_["status"] in OPEN,
        said=said,
        reasons=reasons(said) if said else ([], []),
        give_or_take=two_errors(said.on_time, said.replications) if said and said.on_time is not None else 0.0,
        picture=picture,
        confidence=standing_["question"]["confidence"] if standing_ else CONFIDENCE,
    )


@router.post("/{plan_id}/promises")
def simulate(plan_id: PlanId, request: Request, caller: PageMaker, confidence: Confidence = CONFIDENCE) -> Response:
    """Has the plan simulated."""
    study = begin(request, plan_id, "promise", {"confidence": confidence})
    return RedirectResponse(f"/plans/{plan_id}/promises?study={study}", 303)

"""GET /v1/plans/{id}/colour-changes: what each change costs on one barrel of a plan's own campaign."""

from typing import Annotated

from fastapi import APIRouter, Header, Query, Request, Response

from api.http import negotiation
from api.http.access import REFUSALS, Reader
from api.http.problems import answers
from api.plans.parameters import PlanId
from api.purge.forms import FORMS, FORMS_SAID, MOVED, AskedDrawing, Width, in_form, moved
from api.purge.plan_table import changes_of
from api.purge.schemas import ColourChanges
from api.service import TheService
from api.service.refusals import Invalid, NotAcceptable, NotFound
from api.services import jobs, plans
from planner.campaign import Campaign
from planner.campaign.fit import fitting, shot_mass_g
from planner.errors import Problem
from planner.reading import kept

router = APIRouter(prefix="/v1/plans", tags=["purge"], responses=answers(*REFUSALS))


@router.get(
    "/{plan_id}/colour-changes",
    response_model=ColourChanges,
    summary="What every colour change of a tool costs in a plan's campaign",
    responses=FORMS_SAID | answers(NotFound, NotAcceptable, Invalid),
)
def read_colour_changes(
    plan_id: PlanId,
    service: TheService,
    caller: Reader,
    drawing: AskedDrawing,
    tool: Annotated[str, Query(max_length=40, description="a tool of the campaign")],
    press: Annotated[str | None, Query(max_length=40, description="none: the first press the tool fits")] = None,
    barrel: Annotated[int, Query(ge=1, le=2)] = 1,
    accept: Annotated[str | None, Header()] = None,
) -> Response:
    """The melts the tool runs through that barrel, its hot runner included, and what the barrel holds at the start."""
    form = negotiation.choose(accept, FORMS)
    campaign = kept(plans.campaign_text(service, caller.workshop_id, plan_id))
    where = press or _first_press(campaign, tool)
    _check(campaign, tool, where, barrel)
    return in_form(changes_of(campaign, tool, where, barrel), campaign.colours, form, drawing)


@router.get(
    "/{plan_id}/purge-matrix",
    deprecated=True,
    status_code=308,
    response_class=Response,
    summary="The address of a plan's colour changes before; goes with the next version",
    responses=MOVED | answers(NotFound, Invalid),
)
def read_colour_changes_before(
    plan_id: PlanId,
    request: Request,
    service: TheService,
    caller: Reader,
    tool: Annotated[str | None, Query(max_length=40)] = None,
    press: Annotated[str | None, Query(max_length=40)] = None,
    barrel: Annotated[int | None, Query(ge=1, le=2)] = None,
    width: Width = 1000,
) -> Response:
    """Leads to `/v1/plans/{plan_id}/colour-changes` with the same parameters."""
    jobs.standing(service, caller.workshop_id, jobs.PLAN, plan_id)
    return moved(request, "purge-matrix", "colour-changes")


def _first_press(campaign: Campaign, tool: str) -> str:
    return next(iter(fitting(campaign, tool)), "") if tool in campaign.tools else ""


def _check(campaign: Campaign, tool: str, press: str, barrel: int) -> None:
    problems = []
    if tool not in campaign.tools:
        known = ", ".join(f"`{name}`" for name in sorted(campaign.tools))
        problems.append(Problem("tool", f"there is no tool `{tool}`", f"use one of {known}"))
    elif press not in fitting(campaign, tool):
        known = ", ".join(f"`{name}`" for name in fitting(campaign, tool))
        problems.append(Problem("press", f"tool `{tool}` does not fit press `{press}`", f"use one of {known}"))
    elif barrel > len(shot_mass_g(campaign, campaign.tools[tool])):
        problems.append(Problem("barrel", f"tool `{tool}` uses one barrel", "ask for barrel 1"))
    if problems:
        raise Invalid("Parameters do not fit the campaign.", problems)

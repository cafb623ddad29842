"""Purging: what every colour change of a tool costs, and the log of what it really took."""

import json
from functools import partial
from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Form, Query, Response
from fastapi.responses import RedirectResponse
from pydantic import ValidationError

from api.pages.auth import PageMaker, PageReader, PageRoute
from api.pages.templating import of_plan, page, twice
from api.pages.typed import amount, whole
from api.plans.parameters import PlanId
from api.purge.log_entry import said_of
from api.purge.picture import changes_svg, means
from api.purge.plan_table import changes_of
from api.service import Service, TheService
from api.service.refusals import Invalid
from api.services import purge_log
from api.services.published import find_published
from planner.campaign import Campaign
from planner.campaign.fit import fitting, shot_mass_g
from planner.campaign.purging import PurgeLogged
from planner.reading import problems_in

router = APIRouter(prefix="/plans", route_class=PageRoute, include_in_schema=False)
Text = Annotated[str, Form(max_length=1200)]


@router.get("/{plan_id}/purge")
def purge(
    plan_id: PlanId,
    service: TheService,
    caller: PageReader,
    place: Annotated[str, Query(max_length=1200, description="tool, press and barrel as a JSON list")] = "",
) -> Response:
    """The colour changes of one tool on one barrel, the log, and a form to write a change down."""
    return _shown(service, caller, plan_id, place, {}, {})


@router.post("/{plan_id}/purge")
def write_down(
    plan_id: PlanId,
    service: TheService,
    caller: PageMaker,
    place: Text = "",
    before: Text = "",
    after: Text = "",
    shots: Text = "",
    kg: Text = "",
) -> Response:
    """One real colour change into the workshop's log."""
    typed = {"before": before, "after": after, "shots": shots.strip(), "kg": kg.strip()}
    tool, press, barrel = _places(find_published(service, caller.workshop_id, plan_id).campaign).get(place, ("", "", 1))
    entry: dict[str, object] = {"press": press, "barrel": barrel, "from": before, "to": after}
    problems: dict[str, str] = {}
    if typed["shots"]:
        entry["shots"] = whole(typed["shots"], "shots", problems)
    if typed["kg"]:
        entry["kg"] = amount(typed["kg"], "kg", problems, "kg")
    if "shots" in entry and "kg" not in entry:
        entry["tool"] = tool
    if not problems:
        try:
            purge_log.add_entry(service, caller.workshop_id, PurgeLogged.model_validate(entry))
            return RedirectResponse(f"/plans/{plan_id}/purge?{urlencode({'place': place})}#log", 303)
        except ValidationError as error:
            found = [(p.pointer.strip("/"), p.message) for p in problems_in(error, entry)]
            problems = {{"from": "before", "to": "after"}.get(name, name): message for name, message in found}
        except Invalid as refused:
            at = {"/to": "after"}
            problems = {at.get(p.pointer, "shots"): f"{p.message}; {p.remedy}" for p in refused.problems}
    return _shown(service, caller, plan_id, place, typed, problems, 422)


def _places(campaign: Campaign) -> dict[str, tuple[str, str, int]]:
    """What the form sends -> tool, press and barrel: names may hold any mark between them."""
    found = (
        (tool, press, barrel)
        for tool in campaign.tools
        for press in fitting(campaign, tool)
        for barrel in range(1, len(shot_mass_g(campaign, campaign.tools[tool])) + 1)
    )
    return {json.dumps(place, ensure_ascii=False): place for place in found}


def _shown(
    service: Service,
    caller: PageReader,
    plan_id: str,
    place: str,
    typed: dict[str, str],
    problems: dict[str, str],
    status: int = 200,
) -> Response:
    shown = find_published(service, caller.workshop_id, plan_id)
    campaign = shown.campaign
    places = _places(campaign)
    chosen = place if place in places else next(iter(places))
    tool, press, barrel = places[chosen]
    said = changes_of(campaign, tool, press, barrel)
    drawings = [twice(partial(changes_svg, said, campaign.colours, only=melt.melt), 760) for melt in said.melts]
    k = barrel - 1
    held = campaign.presses[press].barrels[k].holds
    melts = sorted(
        {run.melts[k] for run in shown.plan.runs if run.press == press and len(run.melts) > k} | {held or ""}
    )
    return page(
        "purge.html",
        status,
        here="purge",
        **of_plan(shown),
        places=places,
        chosen=chosen,
        press=press,
        barrel=barrel,
        tool=tool,
        means=means(said),
        drawings=drawings,
        log=[said_of(row) for row in purge_log.page(service, caller.workshop_id, 30, None)],
        melts=[melt for melt in melts if melt],
        typed=typed,
        problems=problems,
    )

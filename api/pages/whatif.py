"""What if: changes planned beside the plan, and plans side by side."""

from typing import Annotated, Any

from fastapi import APIRouter, Depends, Query, Request, Response
from fastapi.responses import RedirectResponse
from starlette.datastructures import FormData

from api.http.forms import FORM_BYTES, form_of
from api.pages.api_client import Answered, ask
from api.pages.auth import PageMaker, PageReader, PageRoute
from api.pages.templating import of_plan, page
from api.pages.variant_changes import AIMS, change
from api.plans.parameters import PlanId
from api.service import TheService
from api.services.published import Published, find_published
from api.services.standing_promise import how_sure
from planner.actuals.changes import Changes
from planner.slips.document import Comparison
from planner.slips.slip import things
from worker.records.statuses import OPEN

router = APIRouter(prefix="/plans", route_class=PageRoute, include_in_schema=False)
MOST_BESIDE = 20
"""Variants shown side by side at once."""


@router.get("/{plan_id}/what-if")
def what_if(plan_id: PlanId, request: Request, service: TheService, caller: PageReader) -> Response:
    """The controls, and the variants there are."""
    shown = find_published(service, caller.workshop_id, plan_id)
    return _shown(request, shown, {}, {})


@router.post("/{plan_id}/what-if")
def variant(
    plan_id: PlanId,
    request: Request,
    service: TheService,
    caller: PageMaker,
    form: Annotated[FormData, Depends(form_of(FORM_BYTES, 10_000))],
) -> Response:
    """Plans a variant with everything that was filled in."""
    shown = find_published(service, caller.workshop_id, plan_id)
    typed = {name: value for name, value in form.items() if isinstance(value, str)}
    made = change(shown.campaign, shown.plan, typed)
    problems = made.problems
    if not problems:
        title = f"{shown.row.title}: {', '.join(made.said)}"
        try:
            body = {"variants": [{"title": title[:200], "patch": made.patch}]}
            answer = ask(request, "POST", f"/v1/plans/{plan_id}/variants", body).json()
            return RedirectResponse(f"/plans/{answer['plans'][0]['id']}", 303)
        except Answered as refused:
            problems[""] = "; ".join(f"{p.message}; {p.remedy}" for p in refused.problems) or refused.detail
    return _shown(request, shown, typed, problems, 422)


@router.get("/{plan_id}/compared")
def compared(
    plan_id: PlanId,
    request: Request,
    service: TheService,
    caller: PageReader,
    base: Annotated[str, Query(max_length=40, pattern="^[0-9a-z]*$")] = "",
) -> Response:
    """This plan beside the one it was made from, or another."""
    shown = find_published(service, caller.workshop_id, plan_id)
    answer = ask(request, "GET", f"/v1/plans/{plan_id}/comparison" + (f"?base={base}" if base else ""))
    said = Comparison.model_validate_json(answer.content)
    return page("compared.html", here="what-if", leaf="compared", **of_plan(shown), said=said)


@router.get("/{plan_id}/changes")
def changes(plan_id: PlanId, request: Request, service: TheService, caller: PageReader) -> Response:
    """What planning again changed, and why, in words."""
    shown = find_published(service, caller.workshop_id, plan_id)
    said = Changes.model_validate_json(ask(request, "GET", f"/v1/plans/{plan_id}/changes").content)
    return page("changes.html", here="press", leaf="changes", **of_plan(shown), said=said)


@router.get("/{plan_id}/side-by-side")
def side_by_side(plan_id: PlanId, request: Request, service: TheService, caller: PageReader) -> Response:
    """The plan and its variants, a line each: last parcels by tier, cost, purge, hours, runs that moved."""
    shown = find_published(service, caller.workshop_id, plan_id)
    variants = _children(request, plan_id)
    beside = []
    for child in [one for one in variants if one["status"] == "done"][:MOST_BESIDE]:
        try:
            answer = ask(request, "GET", f"/v1/plans/{child['id']}/comparison?base={plan_id}")
        except Answered:  # its campaign was changed again meanwhile and is not planned yet
            continue
        beside.append((child, Comparison.model_validate_json(answer.content)))
    return page(
        "side_by_side.html",
        here="what-if",
        leaf="side-by-side",
        **of_plan(shown),
        sure={
            one: how_sure(service, caller.workshop_id, one, revision)
            for one, revision in [(plan_id, shown.revision), *((child["id"], child["revision"]) for child, _ in beside)]
        },
        itself=ask(request, "GET", f"/v1/plans/{plan_id}/comparison?base={plan_id}").json(),
        beside=beside,
        waiting=[one for one in variants if one["status"] in OPEN],
        failed=[one for one in variants if one["status"] == "failed"],
        more=len(variants) > MOST_BESIDE,
    )


def _children(request: Request, plan_id: str) -> list[dict[str, Any]]:
    answer = ask(request, "GET", f"/v1/plans?parent={plan_id}")
    return list(answer.json()["plans"])


def _shown(
    request: Request, shown: Published, typed: dict[str, str], problems: dict[str, str], status: int = 200
) -> Response:
    campaign = shown.campaign
    runs: dict[str, int] = {}
    for run in shown.plan.runs:
        runs[run.press] = runs.get(run.press, 0) + 1
    return page(
        "what_if.html",
        status,
        here="what-if",
        leaf="what-if",
        **of_plan(shown),
        campaign=campaign,
        pieces=[name for kind, name in things(campaign) if kind == "piece"],
        materials=[(kind, name) for kind, name in things(campaign) if kind in ("resin", "colour")],
        runs=runs,
        aims=AIMS,
        typed=typed,
        problems=problems,
        children=_children(request, shown.row.id),
    )

"""A plan: being made, failed, or made."""

import json
from collections.abc import Iterable
from datetime import date, datetime, timedelta
from typing import Annotated
from zoneinfo import ZoneInfo

from fastapi import APIRouter, Form, Query, Request, Response
from fastapi.responses import RedirectResponse

from api.http.moments import moment
from api.pages.api_client import ask
from api.pages.auth import PageMaker, PageReader, PageRoute
from api.pages.either_way import now_lines, then_lines
from api.pages.floor_window import FloorWindow, floor_shown
from api.pages.needs import needs, ticked, todays
from api.pages.still_to_do import still_to_do
from api.pages.templating import drawn, page
from api.pages.verdict import verdict
from api.pages.wall_clock import now_at
from api.pages.waste import waste_of
from api.pictures.either_way import either_way_svg
from api.pictures.progress import Point, progress_svg
from api.plans.parameters import PlanId
from api.service import Service, TheService
from api.services import floor_log, jobs, orders, plans
from api.services.published import Published, find_published
from api.services.standing_promise import how_sure
from api.services.tried_wishes import tried
from planner.audit.rules import RULES
from planner.cautions.not_said import unsaid_clamps
from planner.demand.standing import kept_together
from planner.plan import RunPlan
from planner.plan.binding import TierChain
from planner.plan.document import TierDates
from planner.slips.compare import compare
from worker.records.reading import PlanRow

router = APIRouter(prefix="/plans", route_class=PageRoute, include_in_schema=False)
MOST_AT_ONCE = 8
"""Tiers on the first screen; more are folded away under those that need somebody."""
TickKey = Annotated[str, Form(max_length=300)]
AnyDay = Annotated[date | None, Query()]


@router.get("/{plan_id}")
def show(
    plan_id: PlanId,
    service: TheService,
    caller: PageReader,
    window: FloorWindow,
    on: AnyDay = None,
) -> Response:
    """Where the plan stands; its newest revision as soon as there is one."""
    row = jobs.standing(service, caller.workshop_id, jobs.PLAN, plan_id)
    made = plans.revisions(service, caller.workshop_id, plan_id)
    aside = orders.counted_aside(service, caller.workshop_id, row.moulding_campaign_id)
    if not row.finished:
        return _being_made(service, row)
    if not made:
        return page("failed.html", row=row)
    shown = find_published(service, caller.workshop_id, plan_id)
    log = floor_log.entries(service, caller.workshop_id, plan_id)
    asked = still_to_do(shown, log)
    changed = _changed(plans.document_before(service, caller.workshop_id, plan_id, shown.revision), shown)
    sure = how_sure(service, caller.workshop_id, plan_id, shown.revision, first_look=True)
    mean = shown.plan.outcome.expected
    told = None if mean is None else mean.branches
    return page(
        "plan.html",
        here="plan",
        row=row,
        plan=shown.plan,
        campaign=shown.campaign,
        revision=shown.revision,
        aside=aside,
        unsaid_clamps=unsaid_clamps(shown.campaign, shown.plan.runs),
        today=todays(asked, on or _today(shown)),
        changed=changed,
        logged=len(log),
        made=made[-1],
        is_today=on is None or on == _today(shown),
        tomorrow=(on or _today(shown)) + timedelta(days=1),
        waste=waste_of(shown.plan),
        late=[tier for tier in shown.plan.tiers if tier.days_late],
        tiers=by_lateness(shown.plan.tiers),
        verdict=verdict(shown.plan.tiers, sure),
        most=MOST_AT_ONCE,
        sure=sure,
        tried=tried(service, caller.workshop_id, shown),
        rules=RULES,
        chains=alike(shown.plan.why.chains) if shown.plan.why else [],
        kept_together=kept_together(shown.campaign) if shown.plan.tools_at else [],
        now=now_lines(told) if told is not None and not told.same else [],
        then=[then_lines(branch) for branch in told.branches] if told is not None else [],
        either_way="" if told is None else drawn(lambda: either_way_svg(told, shown.campaign, shown.plan.start)),
        **floor_shown(shown, window, sure.tiers),
    )


def alike(chains: Iterable[TierChain]) -> list[tuple[TierChain, list[str]]]:
    """What set each tier's last day, those for which it is the same together: one of them, and the other tiers."""
    found: dict[str, tuple[TierChain, list[str]]] = {}
    for chain in chains:
        same = chain.words.removeprefix(chain.tier)
        if same in found:
            found[same][1].append(chain.tier)
        else:
            found[same] = chain, []
    return list(found.values())


@router.post("/{plan_id}/today")
def tick(plan_id: PlanId, request: Request, service: TheService, caller: PageMaker, key: TickKey) -> Response:
    """One thing of today's list is done: it goes into the log, and from the list."""
    shown = find_published(service, caller.workshop_id, plan_id)
    entries = floor_log.log(service, caller.workshop_id, plan_id)
    need = next((one for one in needs(shown.plan, shown.campaign, entries) if one.key == key and one.tick), None)
    if need is not None:  # otherwise somebody ticked it a moment ago
        ask(request, "POST", f"/v1/plans/{plan_id}/actuals", {"entries": ticked(need, now_at(shown))})
    return RedirectResponse(f"/plans/{plan_id}#today", 303)


@router.post("/{plan_id}/stop")
def stop(plan_id: PlanId, service: TheService, caller: PageMaker) -> Response:
    """Stop and keep the best plan so far. Finished meanwhile is just as good."""
    plans.stop_if_open(service, caller.workshop_id, plan_id)
    return RedirectResponse(f"/plans/{plan_id}", 303)


def _changed(text: str | None, shown: Published) -> str:
    """What the last revision changed, in a sentence; "" for a first one. text: the run plan before it."""
    return compare(RunPlan.model_validate_json(text), shown.plan).words if text else ""


def by_lateness(tiers: list[TierDates]) -> list[TierDates]:
    """As the campaign has them where they fit one screen; more of them with those first that need somebody."""
    if len(tiers) <= MOST_AT_ONCE:
        return tiers
    return sorted(tiers, key=lambda tier: (-tier.days_late, -tier.last_dispatch.timestamp(), tier.tier))


def _being_made(service: Service, row: PlanRow) -> Response:
    told = jobs.said_after(service, jobs.PLAN, row.id, 0)
    points = [
        Point(moment(event.at), said.get("cost"), said.get("bound"))
        for event in told
        if event.kind == "progress" and (said := json.loads(event.data))
    ]
    chart = drawn(lambda: progress_svg(points, moment(row.started_at or row.created_at), row.budget))
    return page("being_made.html", row=row, chart=chart)


def _today(shown: Published) -> date:
    return datetime.now(ZoneInfo(shown.plan.time_zone)).date()

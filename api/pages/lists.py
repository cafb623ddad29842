"""A plan's lists: runs, benches and parcels, what to buy."""

from collections.abc import Sequence
from datetime import date, timedelta
from itertools import groupby
from typing import Annotated

from fastapi import APIRouter, Query, Request, Response
from pydantic import BeforeValidator

from api.exports.weekly import weekly
from api.pages.auth import PageReader, PageRoute
from api.pages.doubtful import today
from api.pages.needs import Need
from api.pages.still_to_do import still_to_do
from api.pages.templating import drawn, of_plan, page, twice
from api.pages.weeks import weeks_of
from api.pictures.colours import swatches
from api.pictures.cost import cost_svg
from api.pictures.curves import curves_svg
from api.pictures.dispatches import dispatch_svg
from api.pictures.path import path_svg
from api.pictures.stock import stock_svg
from api.plans.parameters import PlanId
from api.service import TheService
from api.services import floor_log
from api.services.published import find_published
from api.services.standing_promise import how_sure
from api.serving.reach import reached_at
from planner.plan.labels import number_of
from planner.plan.sampling import RunInspection

router = APIRouter(prefix="/plans", route_class=PageRoute, include_in_schema=False)
FromDay = Annotated[date | None, BeforeValidator(lambda text: text or None), Query(alias="from")]
Days = Annotated[int | None, Query(ge=1, le=400)]
Presses = Annotated[list[str] | None, Query(max_length=200)]


@router.get("/{plan_id}/runs")
def runs(
    plan_id: PlanId,
    service: TheService,
    caller: PageReader,
    first: FromDay = None,
    days: Days = None,
    press: Presses = None,
) -> Response:
    """Every run in order of work, press by press; some days or presses only, if asked for."""
    shown = find_published(service, caller.workshop_id, plan_id)
    wanted = press or list(shown.campaign.presses)
    last = None if first is None or days is None else first + timedelta(days=days - 1)
    by_press = {
        name: [
            run
            for run in shown.plan.runs
            if run.press == name
            and (first is None or run.end.date() >= first)
            and (last is None or (run.changeover or run).start.date() <= last)
        ]
        for name in wanted
    }
    inspections: dict[str, list[RunInspection]] = {}
    for one in shown.plan.inspections:
        inspections.setdefault(one.run, []).append(one)
    return page(
        "runs.html",
        here="runs",
        **of_plan(shown),
        campaign=shown.campaign,
        by_press=by_press,
        wanted=press or [],
        first=first,
        last=last,
        weeks=weeks_of(shown.plan),
        colours=swatches(shown.campaign.colours),
        inspections=inspections,
    )


@router.get("/{plan_id}/parcels")
def parcels(plan_id: PlanId, service: TheService, caller: PageReader) -> Response:
    """Pick-up by pick-up: the pack batches that leave with it, and what is assembled for them."""
    shown = find_published(service, caller.workshop_id, plan_id)
    batches = {batch.id: batch for batch in shown.plan.batches}
    return page(
        "parcels.html",
        here="parcels",
        **of_plan(shown),
        pick_ups=[
            (dispatch, sorted((batches[b] for b in dispatch.batches), key=lambda b: (b.start, b.id)))
            for dispatch in sorted(shown.plan.dispatches, key=lambda d: d.at)
        ],
    )


@router.get("/{plan_id}/buying")
def buying(plan_id: PlanId, service: TheService, caller: PageReader) -> Response:
    """Everything that is used, what of it is to be bought, and by when; first what must be ordered first."""
    shown = find_published(service, caller.workshop_id, plan_id)
    far = date.max
    to_order = days_to_order(still_to_do(shown, floor_log.entries(service, caller.workshop_id, plan_id)))
    begins = shown.campaign.start.date()
    return page(
        "buying.html",
        here="buying",
        **of_plan(shown),
        campaign=shown.campaign,
        materials=sorted(shown.plan.materials, key=lambda m: (m.order_by or far, m.kind, m.id)),
        pieces=sorted(shown.plan.pieces, key=lambda p: (p.order_by or far, p.id)),
        to_order=to_order,
        sooner=begins if to_order and today() < begins and to_order[0][0] <= begins else None,
        weeks=weekly(shown.plan.cash),
    )


def days_to_order(asked: Sequence[Need]) -> list[tuple[date, list[Need]]]:
    """What is still to be ordered, by the last day for it."""
    return [(day, list(of)) for day, of in groupby((n for n in asked if n.what == "order"), key=lambda n: n.day)]


@router.get("/{plan_id}/pictures")
def pictures(plan_id: PlanId, service: TheService, caller: PageReader) -> Response:
    """The plan's other pictures, one under the other."""
    shown = find_published(service, caller.workshop_id, plan_id)
    sure = how_sure(service, caller.workshop_id, plan_id, shown.revision).tiers
    drawings = [
        ("cost", "Cost", "twice", twice(lambda width: cost_svg(shown.plan, width), 760)),
        ("dispatches", "What has left", "timed", drawn(lambda: dispatch_svg(shown.plan, sure=sure, framed=True))),
        ("path", "The colours each barrel goes through", "", drawn(lambda: path_svg(shown.plan, shown.campaign))),
        ("stock", "Good parts in hand", "timed", drawn(lambda: stock_svg(shown.plan, shown.campaign, framed=True))),
    ]
    if shown.plan.curves:
        curves = twice(lambda width: curves_svg(shown.plan, width), 980)
        drawings.append(("curves", "How sharp each sampling plan is", "twice", curves))
    return page(
        "pictures.html",
        here="pictures",
        **of_plan(shown),
        pictures=drawings,
    )


@router.get("/{plan_id}/paper")
def paper(plan_id: PlanId, request: Request, service: TheService, caller: PageReader) -> Response:
    """What can be printed, in which size."""
    shown = find_published(service, caller.workshop_id, plan_id)
    reached = reached_at(service.settings, f"{request.url.scheme}://{request.url.netloc}")
    labels = number_of(shown.plan)
    return page(
        "paper.html",
        here="paper",
        **of_plan(shown),
        labels=labels,
        reached=reached,
        text=shown.campaign.labels.text,
    )

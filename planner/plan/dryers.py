"""When to fill which dryer, written from the runs."""

from collections.abc import Iterator
from datetime import UTC, timedelta

from planner.calendars.clock import Clock
from planner.calendars.moments import later
from planner.calendars.stretches import stretches
from planner.campaign import Campaign
from planner.campaign.dryer_rate import dryer_of, keeps_hours
from planner.campaign.melts import let_down
from planner.campaign.whereabouts import place_of
from planner.material import Drying, DryingDraw, DryingLoad, drying_loads
from planner.material.drying import There
from planner.plan.document import DryerLoad
from planner.plan.runs import RunUse
from planner.schedule.encode.arrays import whole_seconds

DAYS_BEFORE = 10
"""Days before the campaign in which its first dryers may be loaded."""


def loads(campaign: Campaign, uses: list[RunUse], clock: Clock) -> list[DryingLoad]:
    """The loads that the runs ask for; a resin without a named dryer goes through one of its own."""
    drying = {
        name: Drying(dryer, resin.drying_hours, resin.drying_c, resin.dryer_kg, keeps_hours(campaign, name))
        for name, resin in campaign.resins.items()
        if (dryer := dryer_of(campaign, name)) is not None
    }
    cleaning = timedelta(seconds=whole_seconds(campaign.floor.dryer_cleaning_minutes))
    ours, theirs = list[DryingDraw](), list[DryingDraw]()
    for use in uses:
        (ours if place_of(campaign, use.run.press) is None else theirs).extend(_draws(campaign, use))
    found = drying_loads(ours, drying, _people(campaign, ours, clock) if drying else (), cleaning)
    # at another place they see to it themselves, whenever their press is open
    return sorted(found + drying_loads(theirs, drying, (), cleaning), key=_when) if theirs else found


def _when(load: DryingLoad) -> tuple[float, str]:
    return load.load_at.timestamp(), load.dryer


def _people(campaign: Campaign, draws: list[DryingDraw], clock: Clock) -> list[There]:
    """When somebody is there to load dryers, some days before the campaign as well: by its weekly hours."""
    there = campaign.floor.attended
    if there is None or not draws:
        return []
    early = Clock.starting(campaign.start - timedelta(days=DAYS_BEFORE), campaign.time_zone)
    days = (max(draw.end for draw in draws) - clock.moment(0)).days + 2 + DAYS_BEFORE
    return [
        (early.moment(s.start).astimezone(UTC), early.moment(s.end).astimezone(UTC))
        for s in stretches(there, campaign.closed_days, early, days)
    ]


def cleanings_seconds(campaign: Campaign, found: list[DryingLoad]) -> int:
    """Seconds in which dryers are cleaned for another resin."""
    cleanings = sum(load.cleaned_from is not None for load in found)
    return cleanings * whole_seconds(campaign.floor.dryer_cleaning_minutes)


def lines(campaign: Campaign, found: list[DryingLoad]) -> list[DryerLoad]:
    """The loads as the plan lists them."""
    return [
        DryerLoad(
            dryer=load.dryer,
            resin=load.resin,
            kg=load.kg,
            fill_kg=load.fill_kg,
            degrees_c=campaign.resins[load.resin].drying_c,
            cleaned_from=load.cleaned_from,
            cleaned_until=load.cleaned_until,
            load_at=load.load_at,
            dry_at=load.dry_at,
            used_from=load.used_from,
            used_until=load.used_until,
            waits_hours=round(load.waits_hours, 4),
            runs=list(load.runs),
        )
        for load in found
    ]


def _draws(campaign: Campaign, use: RunUse) -> Iterator[DryingDraw]:
    """What a run draws of its resins: changeovers and restarts by themselves, then the shots of each stretch."""
    run = use.run
    changeover = run.changeover
    for b, melt in enumerate(run.melts):
        resin, colour = melt.rsplit("/", 1)
        share = 1 - let_down(campaign, resin, colour)
        per_shot = use.moulded_kg[b] / run.shots * share
        if changeover is not None:
            kg = changeover.startup_shots * per_shot + (use.purge_kg[b] - use.opening_kg[b]) * share
            begin = later(changeover.start, changeover.warm_up_seconds + changeover.mount_seconds)
            yield DryingDraw(run.id, resin, begin, changeover.end, kg)
        for stretch in run.stretches:
            begin = later(stretch.start, stretch.restart_seconds)
            closing = stretch.closing.seconds if stretch.closing else 0
            again = sum(purge.kg for purge in stretch.purges if purge.barrel == b + 1)
            restart_kg = stretch.restart_shots * per_shot + again * share
            yield DryingDraw(run.id, resin, stretch.start, begin, restart_kg)
            yield DryingDraw(run.id, resin, begin, later(stretch.end, -closing), stretch.shots * per_shot)

"""When to load which dryer, written from the runs."""

from datetime import UTC, timedelta

from planner.calendars.clock import Clock
from planner.calendars.stretches import stretches
from planner.campaign import Campaign
from planner.campaign.melts import let_down
from planner.material import Drying, DryingDraw, DryingLoad, drying_loads
from planner.material.drying import There
from planner.plan.document import DryerLoad
from planner.plan.runs import RunUse

DAYS_BEFORE = 10
"""Days before the campaign in which its first dryers may be loaded."""


def loads(campaign: Campaign, uses: list[RunUse], clock: Clock) -> list[DryingLoad]:
    """The loads that the runs ask for; a resin without a named dryer goes through one of its own."""
    drying = {
        name: Drying(resin.dryer or name, resin.drying_hours, resin.drying_c, resin.dryer_kg)
        for name, resin in campaign.resins.items()
        if resin.drying_hours > 0
    }
    draws = [draw for use in uses for draw in _draws(campaign, use)]
    return drying_loads(draws, drying, people=_people(campaign, draws, clock) if drying else ())


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


def lines(campaign: Campaign, found: list[DryingLoad]) -> list[DryerLoad]:
    """The loads as the plan lists them."""
    return [
        DryerLoad(
            dryer=load.dryer,
            resin=load.resin,
            kg=load.kg,
            degrees_c=campaign.resins[load.resin].drying_c,
            load_at=load.load_at,
            dry_at=load.dry_at,
            used_from=load.used_from,
            used_until=load.used_until,
            runs=list(load.runs),
        )
        for load in found
    ]


def _draws(campaign: Campaign, use: RunUse) -> list[DryingDraw]:
    """A run's resin by stretch: production and restarts by shots, the changeover with the first."""
    run = use.run
    changeover = run.changeover
    per_shot = [kg / run.shots for kg in use.moulded_kg]
    draws = []
    for n, stretch in enumerate(run.stretches):
        start = changeover.start if changeover and n == 0 else stretch.start
        shots = stretch.shots + stretch.restart_shots
        if changeover and n == 0:
            shots += changeover.startup_shots
        for b, melt in enumerate(run.melts):
            resin, colour = melt.rsplit("/", 1)
            again = sum(purge.kg for purge in stretch.purges if purge.barrel == b + 1)
            kg = per_shot[b] * shots + (use.purge_kg[b] - use.opening_kg[b] if n == 0 else again)
            draws.append(DryingDraw(run.id, resin, start, stretch.end, kg * (1 - let_down(campaign, resin, colour))))
    return draws

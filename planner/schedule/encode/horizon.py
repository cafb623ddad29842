"""How far ahead calendars are laid out."""

from datetime import date, datetime, timedelta
from math import ceil

from planner.calendars.clock import Clock
from planner.campaign import Campaign
from planner.campaign.hours import Open, spans
from planner.campaign.materials import Bought
from planner.campaign.products import Piece
from planner.demand.carriers import takers
from planner.readiness import ready_days
from planner.schedule.encode.long_work import long_work_days

HORIZON_DAYS = 540
"""Calendars reach this far beyond the last date the campaign names."""

LONG_DAYS = 180
"""By which they grow where orders open, or parts rest, so much later: shorter waits leave them as they are."""


MOST_WORK_DAYS = 3650
"""What takes longer is refused when the campaign is read."""

LEEWAY = 1.5
"""Days given for each day that work takes by rough reckoning: changeovers and restarts are left out of it."""


def horizon_days(campaign: Campaign, clock: Clock) -> int:
    """Days for which calendars are laid out."""
    named: list[date | datetime | None] = [*ready_days(campaign).values()]
    supplies: list[Bought | Piece] = [*campaign.resins.values(), *campaign.colours.values(), *campaign.pieces.values()]
    for supply in supplies:
        named += [a.on for a in supply.arrivals]
        named.append(clock.first_day + timedelta(days=supply.lead_days or 0))
    latest = max((clock.seconds(d) for d in named if d is not None), default=0)
    longer = _long_waits(campaign, clock) + _far_days(campaign, clock)
    days = HORIZON_DAYS + max(0, latest) // 86400 + longer // LONG_DAYS * LONG_DAYS
    work = min(MOST_WORK_DAYS, ceil(LEEWAY * long_work_days(campaign)))
    return days + ceil(work / LONG_DAYS) * LONG_DAYS


def _far_days(campaign: Campaign, clock: Clock) -> int:
    """Days by which the calendars grow to reach a single date, behind their end, on which something is open."""
    places: list[Open] = [
        *campaign.presses.values(), *campaign.finishing_benches.values(), campaign.assembly, campaign.packing,
        *([campaign.floor.attended] if campaign.floor.attended is not None else []),
    ]  # fmt: skip
    days = [day for place in places for day, said in place.on_dates.items() if spans(said)]
    days += [day for taker in takers(campaign) for day in taker.pick_ups.on_dates]
    last = max((clock.seconds(day) // 86400 for day in days), default=0)
    return last - HORIZON_DAYS + LONG_DAYS if last >= HORIZON_DAYS else 0


def _long_waits(campaign: Campaign, clock: Clock) -> int:
    """Days that orders open later, and that parts and what is put together rest one after the other, at the most."""
    opens = max((clock.seconds(line.opens) // 86400 for line in campaign.orders if line.opens is not None), default=0)
    steps = [step.rest_hours for part in campaign.parts.values() for step in part.finishing]
    put = [sub.rest_hours for product in campaign.products.values() for sub in product.sub_assemblies.values()]
    hours = max((float(part.rest_hours) for part in campaign.parts.values()), default=0.0) + float(sum([*steps, *put]))
    return max(0, opens) + ceil(hours / 24)

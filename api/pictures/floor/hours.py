"""When a press or a bench is open, as the sheet shows it."""

from datetime import datetime, timedelta

from api.pictures.floor.scale import Scale
from planner.calendars.clock import Clock
from planner.calendars.others import press_stretches
from planner.calendars.places import wall
from planner.calendars.stretches import stretches
from planner.campaign import Campaign
from planner.campaign.benches import Bench
from planner.campaign.hours import Open
from planner.campaign.presses import Press

Span = tuple[datetime, datetime]


def opening(what: Open, campaign: Campaign, scale: Scale) -> list[Span]:
    """Open stretches up to the sheet's last day, in order."""
    clock = Clock.starting(campaign.start, campaign.time_zone)
    reach = (scale.first + timedelta(days=scale.count) - clock.first_day).days
    if reach < 1:
        return []
    if isinstance(what, Press):
        open_, _ = press_stretches(campaign, what, clock, reach)
    else:
        beside, shut = wall(campaign, what, clock) if isinstance(what, Bench) else (clock, campaign.closed_days)
        open_ = stretches(what, shut, beside, reach)
    return [(clock.moment(one.start), clock.moment(one.end)) for one in open_]


def of_others(press: Press, campaign: Campaign, scale: Scale) -> list[tuple[float, float]]:
    """Left edge and width of others' work on a press."""
    clock = Clock.starting(campaign.start, campaign.time_zone)
    reach = (scale.first + timedelta(days=scale.count) - clock.first_day).days
    _, taken = press_stretches(campaign, press, clock, max(1, reach))
    spans = [scale.clipped(clock.moment(one.start), min(clock.moment(one.end), scale.end)) for one in taken]
    return [span for span in spans if span and span[1] > 0.3]


def closed(opened: list[Span], scale: Scale) -> list[tuple[float, float]]:
    """Left edge and width of what lies between the open stretches."""
    found, since = [], scale.start
    for start, end in [*opened, (scale.end, scale.end)]:
        span = scale.clipped(since, min(start, scale.end)) if start > since else None
        if span and span[1] > 0.3:
            found.append(span)
        since = max(since, end)
    return found

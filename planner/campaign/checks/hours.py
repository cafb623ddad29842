"""Open hours as the checks need them: how long the longest stretch is, and how much there is in all."""

from collections.abc import Iterable

from planner.calendars.clock import Clock
from planner.calendars.stretches import Stretch, stretches
from planner.campaign.document import Campaign
from planner.campaign.hours import Open

REACH_DAYS = 540
"""A campaign that needs longer than a year and a half is taken for a slip of the pen."""


def press_hours(campaign: Campaign, press: str) -> list[Stretch]:
    """Open stretches of a press within reach, s since the start."""
    return stretches(campaign.presses[press], campaign.closed_days, clock_of(campaign), REACH_DAYS)


def bench_hours(campaign: Campaign, bench: Open, people: int) -> list[Stretch]:
    """Stretches of a bench within reach, with the people there."""
    return stretches(bench, campaign.closed_days, clock_of(campaign), REACH_DAYS, people, headcount=True)


def clock_of(campaign: Campaign) -> Clock:
    """The campaign's clock."""
    return Clock.starting(campaign.start, campaign.time_zone)


def longest(open_: Iterable[Stretch]) -> int:
    """Seconds of the longest stretch; 0 when there is none."""
    return max((s.end - s.start for s in open_), default=0)


def person_seconds(open_: Iterable[Stretch]) -> int:
    """Person-seconds in all; for a press simply its open seconds."""
    return sum((s.end - s.start) * s.people for s in open_)


def spoken(seconds: float) -> str:
    """A length of time as people say it."""
    if seconds < 5400:
        return f"{seconds / 60:.0f} min"
    if seconds < 90000:
        return f"{seconds / 3600:.1f} h"
    if seconds < 86400 * 900:
        return f"{seconds / 86400:.0f} days"
    return f"{seconds / 86400 / 365:.0f} years"

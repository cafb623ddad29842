"""Open stretches of a press or bench, from its weekly hours, single dates and the shop's closed days.

A span belongs to the day it starts on, also where it runs past midnight. A date named in `on_dates` beats both the
week and the closed days. Where spans of two days overlap, people add up; for a press an overlap is simply open.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import lru_cache

from planner.calendars.clock import Clock
from planner.campaign.hours import Open, Span, spans, weekly

DAY = 86400
"""Seconds of a day on which no clock is changed."""


@dataclass(frozen=True)
class Stretch:
    """Open from `start` to `end`, seconds since the campaign's start, with `people` there."""

    start: int
    end: int
    people: int


def _wall(day: date, minutes: int) -> datetime:
    return datetime.combine(day, time()) + timedelta(minutes=minutes)


@dataclass(frozen=True)
class _Opening:
    """All that stretches follow from, to be found again by."""

    hours: tuple[tuple[str, str], ...]
    on_dates: tuple[tuple[date, str], ...]
    closed: frozenset[date]
    clock: Clock
    days: int
    people: int
    headcount: bool


def _raw(of: _Opening) -> Iterator[tuple[int, int, int]]:
    """Start, end and people of each day's spans, as they come."""
    week = weekly(dict(of.hours))
    dated = {day: spans(text) for day, text in of.on_dates}
    clock = of.clock
    first = clock.first_day - timedelta(days=1)
    midnights = clock.midnights(first, of.days + 3)
    for n in range(of.days + 1):
        day = first + timedelta(days=n)
        today: tuple[Span, ...]
        if day in dated:
            today = dated[day]
        elif day in of.closed:
            today = ()
        else:
            today = week.get(day.weekday(), ())
        begins = midnights[n]
        even = begins + 2 * DAY == midnights[n + 1] + DAY == midnights[n + 2]
        for span in today:
            if even:
                start, end = begins + 60 * span.start, begins + 60 * span.end
            else:
                start, end = clock.seconds(_wall(day, span.start)), clock.seconds(_wall(day, span.end))
            start = max(0, start)
            if end > start:
                yield start, end, span.people if span.people is not None else of.people


def stretches(
    open_: Open, closed: Iterable[date], clock: Clock, days: int, people: int = 1, headcount: bool = False
) -> list[Stretch]:
    """Open stretches of the first `days` days after the start, in order, none overlapping.

    With headcount False (a press) stretches that touch or overlap are one; with True (a bench) a stretch ends where the
    number of people changes.
    """
    hours, on_dates = tuple(open_.hours.items()), tuple(open_.on_dates.items())
    return list(_laid_out(_Opening(hours, on_dates, frozenset(closed), clock, days, people, headcount)))


@lru_cache(maxsize=64)
def _laid_out(of: _Opening) -> tuple[Stretch, ...]:
    """Presses and benches of a workshop mostly share their hours, each is asked for several times in a plan, and the
    next plan asks again."""
    change: dict[int, int] = {}
    for start, end, people in _raw(of):
        there = people if of.headcount else 1
        change[start] = change.get(start, 0) + there
        change[end] = change.get(end, 0) - there
    merged: list[Stretch] = []
    there = 0
    since = 0
    for moment in sorted(change):
        if there > 0 and moment > since:
            level = there if of.headcount else 1
            if merged and merged[-1].end == since and merged[-1].people == level:
                merged[-1] = Stretch(merged[-1].start, moment, level)
            else:
                merged.append(Stretch(since, moment, level))
        there += change[moment]
        since = moment
    return tuple(merged)

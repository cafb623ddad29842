"""Open stretches of a press or bench, from its weekly hours, single dates and the shop's closed days.

A span belongs to the day it starts on, also where it runs past midnight. A date named in `on_dates` beats both the
week and the closed days. Where spans of two days overlap, people add up; for a press an overlap is simply open.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from planner.calendars.clock import Clock
from planner.campaign.hours import Open, Span, spans, weekly


@dataclass(frozen=True)
class Stretch:
    """Open from `start` to `end`, seconds since the campaign's start, with `people` there."""

    start: int
    end: int
    people: int


def _wall(day: date, minutes: int) -> datetime:
    return datetime.combine(day, time()) + timedelta(minutes=minutes)


def _raw(open_: Open, closed: frozenset[date], clock: Clock, days: int, people: int) -> Iterable[Stretch]:
    week = weekly(open_.hours)
    dated = {day: spans(text) for day, text in open_.on_dates.items()}
    first = clock.first_day - timedelta(days=1)
    for n in range(days + 1):
        day = first + timedelta(days=n)
        today: tuple[Span, ...]
        if day in dated:
            today = dated[day]
        elif day in closed:
            today = ()
        else:
            today = week.get(day.weekday(), ())
        for span in today:
            start = max(0, clock.seconds(_wall(day, span.start)))
            end = clock.seconds(_wall(day, span.end))
            if end > start:
                yield Stretch(start, end, span.people if span.people is not None else people)


def stretches(
    open_: Open, closed: Iterable[date], clock: Clock, days: int, people: int = 1, headcount: bool = False
) -> list[Stretch]:
    """Open stretches of the first `days` days after the start, in order, none overlapping.

    With headcount False (a press) stretches that touch or overlap are one; with True (a bench) a stretch ends where the
    number of people changes.
    """
    raw = list(_raw(open_, frozenset(closed), clock, days, people))
    change: dict[int, int] = {}
    for s in raw:
        there = s.people if headcount else 1
        change[s.start] = change.get(s.start, 0) + there
        change[s.end] = change.get(s.end, 0) - there
    merged: list[Stretch] = []
    there = 0
    since = 0
    for moment in sorted(change):
        if there > 0 and moment > since:
            level = there if headcount else 1
            if merged and merged[-1].end == since and merged[-1].people == level:
                merged[-1] = Stretch(merged[-1].start, moment, level)
            else:
                merged.append(Stretch(since, moment, level))
        there += change[moment]
        since = moment
    return merged

"""When a press or a bench is open, walked day by day on the wall clock."""

from bisect import bisect_right
from collections.abc import Iterable
from datetime import date, timedelta
from itertools import pairwise
from typing import NamedTuple

from planner.audit.moments import Clock
from planner.campaign.hours import Open, spans, weekly


class Shift(NamedTuple):
    """Open from start up to, not including, end (UTC seconds), with so many people."""

    start: int
    end: int
    people: int


def shifts(place: Open, closed: Iterable[date], clock: Clock, first: date, last: date, people: int = 1) -> list[Shift]:
    """The shifts that begin on the days from first to last, in order.

    A shift belongs to the day it begins on: the tail of a night shift runs on into a closed day. What
    `on_dates` says of a day goes before holidays, and holidays before the week.
    people: how many are there where a span says nothing.
    """
    week, shut, found = weekly(place.hours), set(closed), []
    day = first
    while day <= last:
        if day in place.on_dates:
            today = spans(place.on_dates[day])
        elif day in shut:
            today = ()
        else:
            today = week.get(day.weekday(), ())
        for span in today:
            start, end = clock.minute_of_day(day, span.start), clock.minute_of_day(day, span.end)
            if end > start:
                found.append(Shift(start, end, people if span.people is None else span.people))
        day += timedelta(days=1)
    return sorted(found)


def people_there(found: list[Shift]) -> list[Shift]:
    """The same shifts cut where one begins or ends, none overlapping: people of shifts that overlap add up."""
    moments = sorted({moment for shift in found for moment in (shift.start, shift.end)})
    return [
        Shift(start, end, people)
        for start, end in pairwise(moments)
        if (people := sum(shift.people for shift in found if shift.start <= start < shift.end))
    ]


class Openings:
    """The open stretches of a press: shifts that touch or overlap are one."""

    def __init__(self, found: list[Shift]) -> None:
        self.stretches: list[tuple[int, int]] = []
        for shift in found:
            if self.stretches and shift.start <= self.stretches[-1][1]:
                before = self.stretches.pop()
                self.stretches.append((before[0], max(before[1], shift.end)))
            else:
                self.stretches.append((shift.start, shift.end))
        self._starts = [start for start, _ in self.stretches]

    def around(self, second: int) -> tuple[int, int] | None:
        """The stretch that is open at that second."""
        place = bisect_right(self._starts, second) - 1
        if place < 0 or second >= self.stretches[place][1]:
            return None
        return self.stretches[place]

    def next(self, second: int, at_least: int) -> tuple[int, int] | None:
        """The first stretch that begins at or after that second and lasts at least so many seconds."""
        return next((s for s in self.stretches if s[0] >= second and s[1] - s[0] >= at_least), None)

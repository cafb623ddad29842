"""Positions in time counted in days from a first day's first moment, and working days counted along them.

Position 0 is the first moment of the first day, 0.5 its noon, 1 the next day's first moment, by the clock on the wall.
"""

from collections.abc import Callable
from datetime import date, datetime, timedelta
from functools import cache
from math import ceil

LONGEST_DAYS = 20_000
"""Nothing is looked at that lies further than this from the first day."""

HAIR = 1e-9
"""Part of a day below which two positions are the same."""

Advance = Callable[[float, float], float]
"""(position, days of work) -> position at which they are done."""


def position(moment: date | datetime, first: date) -> float:
    """Where a day's first moment, or a wall-clock moment, lies, in days from `first`."""
    if isinstance(moment, datetime):
        seconds = moment.hour * 3600 + moment.minute * 60 + moment.second
        return (moment.date() - first).days + seconds / 86400
    return float((moment - first).days)


def day_from(at: float, first: date) -> date:
    """The first day whose first moment is not before the position."""
    return first + timedelta(days=ceil(at - HAIR))


def calendar_days(at: float, days: float) -> float:
    """Days go by whatever day of the week it is."""
    return at + days


def working_days(first: date, weekdays: frozenset[int], closed: frozenset[date]) -> Advance:
    """Days count only where somebody works on that day. weekdays: Monday 0."""
    works, before = _working(first, weekdays, closed)

    def advance(at: float, days: float) -> float:
        if days <= HAIR:
            return at
        day = min(max(int(at // 1), 0), len(before) - 1)
        inside = at - day if before[day + 1] > before[day] else 0.0
        wanted = before[day] + inside + days
        number = ceil(wanted - HAIR) - 1  # the working day, from 0, in which the last of it is done
        return works[number] + (wanted - number)

    return advance


@cache
def _working(first: date, weekdays: frozenset[int], closed: frozenset[date]) -> tuple[list[int], list[int]]:
    """Numbers of the days that are worked on, and how many of them lie before each day."""
    works, before = [], [0]
    for n in range(2 * LONGEST_DAYS):
        day = first + timedelta(days=n)
        if day.weekday() in weekdays and day not in closed:
            works.append(n)
        before.append(len(works))
        if len(works) > LONGEST_DAYS:
            break
    return works, before

"""When lots that travel leave, and when they are back from another firm, or here from another place, or there."""

from datetime import date, datetime, time, timedelta

from planner.calendars.clock import Clock
from planner.calendars.places import clock_at
from planner.campaign.finishing import FinishingFirm
from planner.campaign.hours import DAYS
from planner.campaign.places import Place

LONGEST_CLOSED = 800
"""Days after which a firm that never works again is given up."""


def journeys(firm: FinishingFirm, closed: list[date], clock: Clock, days: int) -> list[tuple[int, int]]:
    """(leaves, back) of each lot that could go, seconds since the start, in order; of the first `days` days.

    It leaves on the firm's `leaves` days that our `closed` ones are not, at its time of day, is with the firm
    `there_days` later, is worked on for `lead_days` of the firm's working days after that day, and is back `back_days`
    later at that time of day, on a day on which we are not closed.
    """
    at, shut = time.fromisoformat(firm.time), frozenset(closed)
    leaves = {DAYS.index(day) for day in firm.leaves}
    found = []
    for n in range(days + 1):
        day = clock.first_day + timedelta(days=n)
        if day.weekday() not in leaves or day in shut:
            continue
        second = clock.seconds(datetime.combine(day, at))
        done = _worked(firm, day + timedelta(days=firm.there_days))
        if second < 0 or done is None:
            continue
        back = done + timedelta(days=firm.back_days)
        while back in shut:
            back += timedelta(days=1)
        found.append((second, max(second, clock.seconds(datetime.combine(back, at)))))
    return found


def hauls(place: Place, closed: list[date], clock: Clock, days: int) -> list[tuple[int, int]]:
    """(leaves, here) of each lot that could be brought from a place, likewise.

    It leaves on the place's `leaves` days that are none of its holidays, at its time of day on the clock there, and is
    here `here_days` later when our clock shows `arrives`, on a day on which we are not closed.
    """
    return _ways(place, (clock_at(place, clock), place.closed_days), (clock, closed), place.here_days, days)


def hauls_there(place: Place, closed: list[date], clock: Clock, days: int) -> list[tuple[int, int]]:
    """(leaves, there) of each lot that could be taken to a place from our floor, likewise.

    It leaves on the place's `leaves` days on which we are not closed, at its time of day on our clock, and is there
    `there_days` later when the clock there shows `arrives`, on a day that is none of the place's holidays.
    """
    on_the_way = place.here_days if place.there_days is None else place.there_days
    return _ways(place, (clock, closed), (clock_at(place, clock), place.closed_days), on_the_way, days)


def _ways(
    place: Place, begin: tuple[Clock, list[date]], end: tuple[Clock, list[date]], on_the_way: int, days: int
) -> list[tuple[int, int]]:
    """(leaves, arrives) by the clocks and the closed days of where a way begins and ends."""
    (clock, shut), (clock_there, shut_there) = begin, end
    closed, closed_there = frozenset(shut), frozenset(shut_there)
    leaves = {DAYS.index(day) for day in place.leaves}
    found = []
    for n in range(days + 1):
        day = clock.first_day + timedelta(days=n)
        second = clock.seconds(datetime.combine(day, time.fromisoformat(place.time)))
        if day.weekday() not in leaves or day in closed or second < 0:
            continue
        come = day + timedelta(days=on_the_way)
        arrives = clock_there.seconds(datetime.combine(come, time.fromisoformat(place.arrives)))
        while arrives < second or come in closed_there:
            come += timedelta(days=1)
            arrives = clock_there.seconds(datetime.combine(come, time.fromisoformat(place.arrives)))
        found.append((second, arrives))
    return found


def _worked(firm: FinishingFirm, come: date) -> date | None:
    """The day on which the firm is done with what came on a day; None: it never works."""
    works, shut = {DAYS.index(day) for day in firm.works}, set(firm.closed_days)
    left, day = firm.lead_days, come
    for _ in range(LONGEST_CLOSED + 8 * firm.lead_days):
        if left == 0:
            return day
        day += timedelta(days=1)
        left -= day.weekday() in works and day not in shut
    return None

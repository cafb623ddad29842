"""When lots that travel to another firm leave, and when they are back."""

from datetime import date, datetime, time, timedelta

from planner.calendars.clock import Clock
from planner.campaign.finishing import FinishingFirm
from planner.campaign.hours import DAYS

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

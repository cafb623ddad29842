"""Pick-up moments, from weekdays, extra dates and dates without one."""

from datetime import date, datetime, time, timedelta
from functools import lru_cache

from planner.calendars.clock import Clock
from planner.campaign.benches import PickUps
from planner.campaign.hours import DAYS


def pickups(rule: PickUps, closed: list[date], clock: Clock, days: int) -> tuple[int, ...]:
    """Seconds of each pick-up in the first `days` days, in order. A date in `on_dates` beats closed days."""
    off, extra = frozenset(rule.not_on) | frozenset(closed), frozenset(rule.on_dates)
    return _laid_out(time.fromisoformat(rule.time), frozenset(rule.days), off, extra, clock, days)


@lru_cache(maxsize=64)
def _laid_out(
    at: time, on: frozenset[str], off: frozenset[date], extra: frozenset[date], clock: Clock, days: int
) -> tuple[int, ...]:
    """Carriers come at the same hours in a workshop's next campaign, too."""
    weekdays = {n for n, name in enumerate(DAYS) if name in on}
    first = clock.first_day
    found = []
    for n in range(days + 1):
        day = first + timedelta(days=n)
        if day in extra or (day.weekday() in weekdays and day not in off):
            second = clock.seconds(datetime.combine(day, at))
            if second >= 0:
                found.append(second)
    return tuple(found)

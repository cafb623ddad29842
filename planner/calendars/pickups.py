"""Pick-up moments, from weekdays, extra dates and dates without one."""

from datetime import date, datetime, time, timedelta

from planner.calendars.clock import Clock
from planner.campaign.benches import PickUps
from planner.campaign.hours import DAYS


def pickups(rule: PickUps, closed: list[date], clock: Clock, days: int) -> list[int]:
    """Seconds of each pick-up in the first `days` days, in order. A date in `on_dates` beats closed days."""
    at = time.fromisoformat(rule.time)
    weekdays = {DAYS.index(d) for d in rule.days}
    off = set(rule.not_on) | set(closed)
    extra = set(rule.on_dates)
    first = clock.first_day
    found = []
    for n in range(days + 1):
        day = first + timedelta(days=n)
        if day in extra or (day.weekday() in weekdays and day not in off):
            second = clock.seconds(datetime.combine(day, at))
            if second >= 0:
                found.append(second)
    return found

"""The weeks a plan covers, for pages that show one at a time."""

from datetime import date, timedelta

from api.pictures.floor import Window
from planner.plan import RunPlan


def weeks_of(plan: RunPlan) -> list[date]:
    """The Mondays of its weeks, from its start to the last run or pick-up."""
    first = plan.start.date() - timedelta(days=plan.start.date().weekday())
    last = max([d.at.date() for d in plan.dispatches] + [r.end.date() for r in plan.runs], default=first)
    return [first + timedelta(days=7 * n) for n in range((last - first).days // 7 + 1)]


def days_of(window: Window) -> list[date]:
    """The days of the week of which a window shows one or all; none where it shows more."""
    if window.first is None or window.days is None or window.days > 7:
        return []
    monday = window.first - timedelta(days=window.first.weekday())
    return [monday + timedelta(days=n) for n in range(7)]

"""The weeks a plan covers, for pages that show one at a time."""

from datetime import date, timedelta

from planner.plan import RunPlan


def weeks_of(plan: RunPlan) -> list[date]:
    """The Mondays of its weeks, from its start to the last run or pick-up."""
    first = plan.start.date() - timedelta(days=plan.start.date().weekday())
    last = max([d.at.date() for d in plan.dispatches] + [r.end.date() for r in plan.runs], default=first)
    return [first + timedelta(days=7 * n) for n in range((last - first).days // 7 + 1)]

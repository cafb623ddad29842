"""Rates of exchange between a day and a kilogram of waste: for each, the campaign planned with that rate is a point.

Why fixed rates, known before the first plan is made: so all points are planned at once, by as many workers as there
are. Why these: the plan at hand says how many kilograms and days there are to trade at all.
"""

from typing import Any

from planner.plan.document import RunPlan
from planner.slips.compare import waste_kg

STEPS = (0.0, 0.25, 1.0, 4.0, 16.0)
"""Rates as multiples of the plan's own waste over its own days; 0: no kilogram is spent on any day."""

ANY_PRICE = 10_000.0
"""Kilograms for a day at which nothing but the last dispatch counts."""


def rates_for(plan: RunPlan) -> list[float]:
    """kg a day is worth, one for each point: from least waste to soonest at any price."""
    own = max(0.01, waste_kg(plan)) / max(1.0, days_to_last(plan))
    return [*(round(own * step, 4) for step in STEPS), ANY_PRICE]


def planning_patch(rate: float) -> dict[str, Any]:
    """JSON Merge Patch to the campaign that has it planned with that rate."""
    return {"planning": {"aim": "waste", "kg_per_day": rate or None}}


def point_title(rate: float) -> str:
    """What the plan of a point is called."""
    if rate == 0:
        return "least waste"
    return "soonest" if rate >= ANY_PRICE else f"a day sooner for up to {float(f'{rate:.3g}'):g} kg"


def days_to_last(plan: RunPlan) -> float:
    """Days from the campaign's start to the last dispatch."""
    last = max((d.at for d in plan.dispatches), default=plan.start)
    return (last - plan.start).total_seconds() / 86400

"""A bound that a plan undercuts is wrong. It is let go and said to be, never cut off at what the plan costs: that would
make a proof of it."""

from dataclasses import replace

from planner.schedule import timing as w
from planner.schedule.bounds.press_hours import LowerBound, beforehand
from planner.schedule.instance import Floats, Instance
from planner.spared import Fault, overlook

BOUND = "the bound on its cost"
"""A part of the search that may fail."""

A_CENT = 0.01
"""Money that a bound may lie above a plan, and that a proof need not tell apart: no amount is told more finely."""
A_MILLIGRAM = 1e-6
"""The same of kg."""


class Undercut(Exception):
    """A plan was found that a bound says there is not."""


def undercut(inst: Instance, totals: Floats, lowest: LowerBound) -> str:
    """What a plan with these totals shows to be wrong of a bound, in words; "": nothing."""
    if (wrong := dearer(lowest.total, float(totals[w.COST]))) or inst.aim_waste == inst.aim_last == 0.0:
        return wrong
    kg = float(totals[w.PURGE_TOTAL_KG] + totals[w.STARTUP_TOTAL_KG])
    if lowest.waste_kg > kg + A_MILLIGRAM:
        return f"it said that no plan wastes less than {lowest.waste_kg:.6f} kg, and one wastes {kg:.6f}"
    if lowest.last_s > totals[w.LAST]:
        return f"it said that no plan ends before {lowest.last_s} s, and one ends at {totals[w.LAST]:.0f}"
    return ""


def dearer(bound: float, cost: float) -> str:
    """Why money of a bound is wrong where a plan costs less; "": it may be right."""
    return (
        f"it said that no plan costs less than {bound:.4f}, and one costs {cost:.4f}" if bound > cost + A_CENT else ""
    )


def let_go(wrong: str, inst: Instance, totals: Floats, faults: list[Fault]) -> LowerBound:
    """The bound to go on with, which rests on less, and the fault noted."""
    overlook(BOUND, Undercut(wrong), faults)
    less = beforehand(inst)
    if not dearer(less.total, float(totals[w.COST])):
        return less
    return replace(less, presses=0.0, late=0.0, total=0.0, basis="nothing")

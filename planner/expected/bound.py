"""What no plan can cost less than on average (RULES.md, S7.2): the mean of proven bounds, one for each scenario.

Whoever knew beforehand what a scenario brings could do no better there than its bound, so no plan made without knowing
does better on average, whatever the workshop does when something is late (Madansky, Management Science 6(2) 1960). Over
independent scenarios the mean of the bounds has a standard error, hence a one-sided confidence limit (Mak, Morton,
Wood, Operations Research Letters 24 1999).
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from planner.expected.in_scenario import scenario_instance
from planner.schedule.bounds.changeovers import least_changeovers
from planner.schedule.bounds.lower_bound import at_once
from planner.schedule.expected.scenarios import Scenarios
from planner.schedule.instance import Instance
from planner.schedule.solution import Solution

CONFIDENCE = 0.95

LEAST, MOST = 5, 200
"""Scenarios bounded, at least and at most."""

BASIS = (
    "the mean over scenarios of what no plan can undercut in each, known beforehand: press hours, each run entered the "
    "cheapest way, batches that no plan can send in time"
)


@dataclass(frozen=True)
class MeanBound:
    """mean: of the bounds; low: with 95 % confidence no plan's mean is below it; scenarios: how many were bounded."""

    mean: float
    low: float
    scenarios: int
    basis: str


def bound_in(inst: Instance, solution: Solution, scenarios: Scenarios, k: int) -> float:
    """Money that no plan can undercut in scenario k."""
    there = scenario_instance(inst, solution, scenarios, k)
    extra = float(scenarios.extra_cost[k]) if scenarios.extra_cost.size else 0.0
    return at_once(there, least_changeovers(there)).total + extra


def mean_bound(
    inst: Instance, solution: Solution, scenarios: Scenarios, go_on: Callable[[int], bool]
) -> MeanBound | None:
    """Bound scenario after scenario while `go_on(how many)`; None where there are too few for an error. Where tools may
    go to several places, or several make a part, see `bound_over_ways.py`."""
    found: list[float] = []
    while len(found) < min(MOST, scenarios.number) and go_on(len(found)):
        found.append(bound_in(inst, solution, scenarios, len(found)))
    return told_of(found, BASIS)


def told_of(bounds: Sequence[float], basis: str) -> MeanBound | None:
    """The mean of bounds, one a scenario, and its lower end; None where they are too few for an error."""
    if len(bounds) < LEAST:
        return None
    values = np.array(bounds)
    error = float(values.std(ddof=1)) / np.sqrt(values.size)
    from scipy.special import stdtrit  # here: loading it takes a third of a second, and most plans need none of it

    low = float(values.mean() - stdtrit(values.size - 1, CONFIDENCE) * error)
    return MeanBound(float(values.mean()), low, values.size, basis)

"""Neighbouring runs of one demand joined before a plan for what may come is written down, where that costs nothing on
average either: a run that is one must have all its material at its start, and no other can be taken in between.
"""

import numpy as np

from planner.expected.budgets import load_of
from planner.expected.judged import Candidate, moves_by
from planner.schedule.expected.replicate import replicated
from planner.schedule.expected.scenarios import Scenarios
from planner.schedule.instance import Instance
from planner.schedule.merge import merged
from planner.schedule.solution import Solution, waiting

SLACK = 2e-5
"""Share of the mean that all joining together may cost."""

MOST_LOAD = 20_000_000
"""Lots, jobs, batches and needs that may be looked at for it: a second or two. Beyond it all are joined, or none."""


def joined(one: Candidate, scenarios: Scenarios) -> Candidate:
    """The candidate with its runs joined where its mean over the scenarios allows it."""
    inst = waiting(one.inst, one.solution)
    value = _mean(one, inst, one.solution, scenarios)
    most = value + SLACK * abs(value)

    def as_cheap(lots: Instance, order: Solution) -> bool:
        return _mean(one, lots, order, scenarios) <= most

    whole, order = merged(inst, one.solution)
    pairs = inst.lot_run.size - whole.lot_run.size
    if pairs and not as_cheap(whole, order):
        few = pairs * scenarios.number * load_of(inst) <= MOST_LOAD
        whole, order = merged(inst, one.solution, as_cheap) if few else (inst, one.solution.copy())
    order.release = None
    return Candidate(whole, order, one.policy)


def _mean(one: Candidate, inst: Instance, solution: Solution, scenarios: Scenarios) -> float:
    cost = replicated(inst, solution, scenarios, moves_by(one.policy)).cost
    return float(cost.mean()) if np.isfinite(cost).all() else np.inf

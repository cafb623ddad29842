"""The first pick-up by which the presses alone could have made everything, by CP-SAT over `press_paths.py`.

Why: hours shared out freely let a run be split over all presses and enter each in the kindest way. With whole lots in
one path a press, 32 of 32 published makespans of 6 to 12 jobs on 2 to 5 machines are proven, each within 1.2 s, where 2
of them were in 5 s; and its order of runs gave the one that the chain had missed.
"""

from dataclasses import dataclass

import numpy as np
from ortools.sat.python import cp_model

from planner.schedule.bounds.changeovers import Changeovers
from planner.schedule.bounds.finish import open_seconds
from planner.schedule.bounds.press_paths import PressPaths
from planner.schedule.instance import Instance

MOST_PICKUPS = 2_000
"""Pick-ups told apart where hours do not grow evenly; what is done later counts as done by the last of them."""


@dataclass(frozen=True)
class PressFinish:
    """pickup: index of the first that can be the last. sequences: the best order found, lots by press, if any."""

    pickup: int
    sequences: list[list[int]] | None


def soonest_press_work(
    inst: Instance, least: Changeovers, first: int, effort: float, solver: cp_model.CpSolver
) -> PressFinish:
    """Solve the model for so many deterministic seconds; sound whenever it stops. first: a pick-up that bounds it."""
    paths = PressPaths(inst, least)
    moments = inst.pickup_t[first:]
    pickup = paths.model.new_int_var(0, moments.size - 1, "")
    for p, seconds in enumerate(paths.seconds):
        hours = [open_seconds(inst, p, 0, int(t), int(inst.restart_s[p])) for t in moments]
        steps = set(np.diff(hours).tolist())
        if len(steps) <= 1:  # where hours grow evenly a table of them would only slow CP-SAT down
            paths.model.add(seconds <= hours[0] + max(steps, default=0) * pickup)
            continue
        told = hours[:MOST_PICKUPS]
        told[-1] = hours[-1]
        by = paths.model.new_int_var(0, len(told) - 1, "")
        until = paths.model.new_int_var(0, hours[-1], "")
        paths.model.add(by <= pickup)
        paths.model.add_element(by, told, until)
        paths.model.add(seconds <= until)
    paths.model.minimize(pickup)
    sequences = paths.solve(effort, solver)
    bound = solver.best_objective_bound
    return PressFinish(first + max(0, int(np.ceil(bound - 1e-6))) if np.isfinite(bound) else first, sequences)

"""The cheapest work of the presses alone, by CP-SAT over `press_paths.py`.

Why: entries of one path a press, warm-ups of whole stretches and the choice of press count together.
"""

from dataclasses import dataclass

import numpy as np
from ortools.sat.python import cp_model

from planner.schedule.bounds.changeovers import Changeovers
from planner.schedule.bounds.press_paths import PressPaths
from planner.schedule.bounds.work import usable_seconds
from planner.schedule.instance import Instance

SCALE = 1000


@dataclass(frozen=True)
class PressWork:
    """bound: money of the presses' own lines, at the least. sequences: the best order found, lots by press, if any."""

    bound: float
    sequences: list[list[int]] | None


def cheapest_press_work(inst: Instance, least: Changeovers, effort: float, solver: cp_model.CpSolver) -> PressWork:
    """Solve the model for so many deterministic seconds; sound whenever it stops."""
    paths = PressPaths(inst, least)
    model = paths.model
    money = least.money(inst, inst.press_cost_s)
    usable = usable_seconds(inst)
    cost: list[cp_model.LinearExprT] = [
        _floor(float(paths.work[p, j] * inst.press_cost_s[p])) * on for (p, j), on in paths.on.items()
    ]
    for p, (seconds, changes) in enumerate(zip(paths.seconds, paths.changes, strict=True)):
        cost += [_floor(money[p, q, r]) * arc for q, r, arc in changes]
        # every stretch used begins with a warm-up, and with start-up shots of a changeover or of a restart
        most = int(inst.open_ptr[p + 1] - inst.open_ptr[p])
        stretches = model.new_int_var(0, most, "")
        restarts = model.new_int_var(0, most, "")
        fits = inst.fits[p]
        shots = int(inst.startup_s[p, fits].min(initial=2**40)) if fits.any() else 0
        model.add(seconds + shots * restarts <= int(usable[p]) * stretches)
        model.add(restarts >= stretches - cp_model.LinearExpr.sum([arc for _, _, arc in changes]))
        cost.append(_floor(inst.restart_s[p] * inst.press_cost_s[p]) * stretches)
        cost.append(_floor(least.startup[p, fits].min(initial=np.inf) if fits.any() else 0) * restarts)
    model.minimize(cp_model.LinearExpr.sum(cost))
    sequences = paths.solve(effort, solver)
    return PressWork(max(0.0, solver.best_objective_bound) / SCALE, sequences)


def _floor(amount: float) -> int:
    return int(np.floor(amount * SCALE))

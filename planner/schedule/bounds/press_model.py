"""The cheapest work of the presses alone, and their least waste, by CP-SAT over `press_paths.py`.

Why: entries of one path a press, warm-ups of whole stretches and the choice of press count together.
"""

from dataclasses import dataclass

import numpy as np
from ortools.sat.python import cp_model

from planner.schedule.bounds.changeovers import Changeovers
from planner.schedule.bounds.press_paths import PressPaths
from planner.schedule.bounds.work import usable_seconds
from planner.schedule.instance import Bools, Floats, Instance

SCALE = 10_000
"""Parts of a money unit or kg told apart: what is cut off each line stays far below a cent in all."""


@dataclass(frozen=True)
class PressWork:
    """bound: of the presses' own lines, at the least, in money or kg. sequences: the best order found, lots by press,
    if any."""

    bound: float
    sequences: list[list[int]] | None


def cheapest_press_work(
    inst: Instance, least: Changeovers, effort: float, solver: cp_model.CpSolver, needless: Bools | None = None
) -> PressWork:
    """Money. Solve the model for so many deterministic seconds; sound whenever it stops. needless (J + 1, J):
    changeovers of the only press left out; the bound is then of plans without them."""
    prices = inst.press_cost_s
    paths = PressPaths(inst, least, needless)
    standing_by = (inst.restart_s * inst.setter_cost_s).astype(np.float64)
    amounts = prices, prices[:, None] + inst.tending, least.money(inst, prices), least.startup, standing_by
    return _least(inst, paths, amounts, effort, solver)


def least_press_waste(inst: Instance, least: Changeovers, effort: float, solver: cp_model.CpSolver) -> PressWork:
    """Kg of purges and start-up shots, likewise."""
    nothing = np.zeros_like(inst.press_cost_s)
    amounts = nothing, np.zeros(inst.fits.shape), least.kg, least.startup_kg, nothing
    return _least(inst, PressPaths(inst, least), amounts, effort, solver)


def _least(
    inst: Instance, paths: PressPaths, amounts: tuple[Floats, ...], effort: float, solver: cp_model.CpSolver
) -> PressWork:
    """amounts: of a second of each press (P), of one in which it moulds (P, R), of each changeover (P, R + 1, R), of
    start-up shots (P, R), of a setter who stands by while a press warms up (P)."""
    a_second, moulding, a_change, start_up, warm = amounts
    model = paths.model
    usable = usable_seconds(inst)
    cost: list[cp_model.LinearExprT] = [
        _floor(float(paths.work[p, j] * moulding[p, inst.lot_run[j]])) * on for (p, j), on in paths.on.items()
    ]
    for p, (seconds, changes) in enumerate(zip(paths.seconds, paths.changes, strict=True)):
        cost += [_floor(a_change[p, q, r]) * arc for q, r, arc in changes]
        # every stretch used begins with a warm-up, and with start-up shots of a changeover or of a restart
        most = int(inst.open_ptr[p + 1] - inst.open_ptr[p])
        stretches = model.new_int_var(0, most, "")
        restarts = model.new_int_var(0, most, "")
        fits = inst.fits[p]
        shots = int(inst.startup_s[p, fits].min(initial=2**40)) if fits.any() else 0
        model.add(seconds + shots * restarts <= int(usable[p]) * stretches)
        cold = model.new_int_var(0, most, "")  # changeovers that a stretch begins with, but the press's first
        made = cp_model.LinearExpr.sum([arc for _, _, arc in changes])
        first = cp_model.LinearExpr.sum([arc for q, _, arc in changes if q == inst.run_tool.size])
        model.add(restarts + cold + first >= stretches)
        model.add(cold + first <= made)
        cost.append(_floor(float(warm[p])) * cold)
        cost.append(_floor(inst.restart_s[p] * a_second[p]) * stretches)
        cost.append(_floor(start_up[p, fits].min(initial=np.inf) if fits.any() else 0) * restarts)
    model.minimize(cp_model.LinearExpr.sum(cost))
    sequences = paths.solve(effort, solver)
    return PressWork(max(0.0, solver.best_objective_bound) / SCALE, sequences)


def _floor(amount: float) -> int:
    return int(np.floor(amount * SCALE))

"""Least changeovers by an assignment: every run demand is entered once, from another run or from a press's start.

Why: a bound in milliseconds at any size. It forgets that the entries must form one path a press. Solved exactly by
OR-Tools' linear sum assignment.
"""

import numpy as np
from ortools.graph.python.linear_sum_assignment import SimpleLinearSumAssignment

from planner.schedule.bounds.changeovers import Changeovers
from planner.schedule.bounds.work import production_seconds, second_cost, usable_seconds
from planner.schedule.instance import Floats, Instance
from planner.schedule.lot_sizes import may_be_cut

SCALE = 10_000
FAR = 10**13


def entry_cost(inst: Instance, least: Changeovers) -> float:
    """Money of all changeovers and of the start-up shots of restarts, at the least."""
    return _entered(inst, least, least.money(inst, second_cost(inst)), least.startup)


def waste_kg(inst: Instance, least: Changeovers) -> float:
    """Kg of all purges and start-up shots, at the least."""
    return _entered(inst, least, least.kg, least.startup_kg)


def _entered(inst: Instance, least: Changeovers, amounts: Floats, start_ups: Floats) -> float:
    """Changeovers at `amounts` (P, R + 1, R), start-up shots at `start_ups` (P, R) within them, at the least.

    Start-up shots come with every changeover and with every stretch that begins with production. There are at least as
    many of them as stretches needed for the work alone; so their least cost counts that often, and the assignment
    decides on the rest of each changeover.
    """
    presses, runs = inst.fits.shape
    start_up = float(start_ups[inst.fits].min(initial=np.inf)) if inst.fits.any() else 0.0
    start_up = 0.0 if np.isinf(start_up) else start_up
    rest = np.where(least.needed, amounts - start_up, 0.0)
    both = inst.fits[:, :, None] & inst.fits[:, None, :]
    between = np.where(both, rest[:, :runs, :], np.inf).min(axis=0)
    np.fill_diagonal(between, np.inf)
    first = np.where(inst.fits, rest[:, runs, :], np.inf)
    lots = np.bincount(inst.lot_run, minlength=runs)
    divisible = may_be_cut(inst)
    lots[divisible] = 0
    # sources: each run as often as it has lots, whichever is kindest of those that may be cut as often as anybody
    # likes, then the presses; targets: each run once, then nothing for the others
    kindest = np.repeat(between[divisible].min(axis=0, initial=np.inf)[None], runs if divisible.size else 0, axis=0)
    rows = np.concatenate([np.repeat(between, lots, axis=0), kindest, first])
    cost = np.zeros((rows.shape[0], rows.shape[0]))
    cost[:, :runs] = rows
    whole = np.where(np.isinf(cost), FAR, np.floor(np.minimum(cost, 1e8) * SCALE)).astype(np.int64)
    solver = SimpleLinearSumAssignment()
    left, right = np.nonzero(whole < FAR)
    solver.add_arcs_with_cost(left, right, whole[left, right])
    if solver.solve() != solver.OPTIMAL:
        return 0.0
    unchanged = sum(bool((~least.needed[p, runs, inst.fits[p]]).any()) for p in range(presses))
    unchanged += int(least.may_follow().any(axis=0).sum())
    usable = np.maximum(usable_seconds(inst), 1)
    stretches = np.where(inst.fits, production_seconds(inst) / usable[:, None], np.inf).min(axis=0).sum()
    entered = float(solver.optimal_cost()) / SCALE
    starts = max(runs - unchanged, int(np.ceil(stretches - 1e-9)))
    return float(entered + start_up * starts)

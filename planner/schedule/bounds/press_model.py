"""The cheapest work of the presses alone, by CP-SAT: one circuit a press, dates and benches forgotten.

Why: entries of one path a press, warm-ups of whole stretches and the choice of press count together, which assignment
and work alone cannot see. Its bound is sound whenever it stops, for no arc is left out; its plan starts the search.
"""

from dataclasses import dataclass

import numpy as np
from ortools.sat.python import cp_model

from planner.schedule.bounds.changeovers import Changeovers
from planner.schedule.bounds.work import usable_seconds
from planner.schedule.instance import Instance

SCALE = 1000
MOST_ARCS = 15_000
"""More arcs than this take longer than the bound is worth (presses x lots squared): with 25 run demands it is proven in
0.2 s, with 70 two minutes of a core gave nothing above the programme by dates."""


@dataclass(frozen=True)
class PressWork:
    """bound: money of the presses' own lines, at the least. sequences: the best order found, lots by press, if any."""

    bound: float
    sequences: list[list[int]] | None


def small_enough(inst: Instance) -> bool:
    """Whether the model stays within MOST_ARCS."""
    return inst.restart_s.size * inst.lot_run.size**2 <= MOST_ARCS


def cheapest_press_work(inst: Instance, least: Changeovers, effort: float, solver: cp_model.CpSolver) -> PressWork:
    """Solve the model for so many deterministic seconds (CP-SAT's own measure of work, the same on every machine)."""
    presses, lots, runs = inst.restart_s.size, inst.lot_run.size, inst.run_tool.size
    money = least.money(inst, inst.press_cost_s)
    work = inst.lot_shots[None, :] * inst.shot_num[:, inst.lot_run] // inst.shot_den[:, inst.lot_run]
    usable = usable_seconds(inst)
    model = cp_model.CpModel()
    cost: list[cp_model.LinearExprT] = []
    on = {(p, j): model.new_bool_var("") for p in range(presses) for j in range(lots) if inst.fits[p, inst.lot_run[j]]}
    arc_of: dict[tuple[int, int, int], cp_model.IntVar] = {}
    head = _pinned_heads(inst)
    for j in range(lots):
        model.add_exactly_one(on[p, j] for p in range(presses) if (p, j) in on)
    for p in range(presses):
        here = [j for j in range(lots) if (p, j) in on]
        arcs = []
        seconds: list[cp_model.LinearExprT] = [int(work[p, j]) * on[p, j] for j in here]
        changes: list[cp_model.LinearExprT] = []
        cost += [_floor(work[p, j] * inst.press_cost_s[p]) * on[p, j] for j in here]
        for j in here:
            arcs.append((j, j, ~on[p, j]))
            end = model.new_bool_var("")
            arcs.append((j, lots, end))
            r = inst.lot_run[j]
            for i in [lots, *here]:
                if i == j or (i < lots and inst.clash[r, inst.lot_run[i]]):
                    continue
                arc = model.new_bool_var("")
                arcs.append((i, j, arc))
                arc_of[p, i, j] = arc
                q = runs if i == lots else inst.lot_run[i]
                if q != r and least.needed[p, q, r]:
                    seconds.append(int(least.seconds[p, q, r]) * arc)
                    cost.append(_floor(money[p, q, r]) * arc)
                    changes.append(arc)
            for i in here:
                if i < j and inst.clash[r, inst.lot_run[i]]:
                    model.add_bool_or(~on[p, i], ~on[p, j])
        empty = model.new_bool_var("")
        arcs.append((lots, lots, empty))
        model.add_circuit(arcs)
        for j in here:
            model.add_implication(empty, ~on[p, j])
        for i, j in zip([lots, *head[p]], head[p], strict=False):
            model.add(arc_of[p, i, j] == 1)
        # every stretch used begins with a warm-up, and with start-up shots of a changeover or of a restart
        most = int(inst.open_ptr[p + 1] - inst.open_ptr[p])
        stretches = model.new_int_var(0, most, "")
        restarts = model.new_int_var(0, most, "")
        shots = int(inst.startup_s[p, inst.fits[p]].min(initial=2**40)) if inst.fits[p].any() else 0
        model.add(cp_model.LinearExpr.sum(seconds) + shots * restarts <= int(usable[p]) * stretches)
        model.add(restarts >= stretches - cp_model.LinearExpr.sum(changes))
        cost.append(_floor(inst.restart_s[p] * inst.press_cost_s[p]) * stretches)
        cost.append(_floor(least.startup[p, inst.fits[p]].min(initial=np.inf) if inst.fits[p].any() else 0) * restarts)
    model.minimize(cp_model.LinearExpr.sum(cost))
    solver.parameters.num_workers = 1
    solver.parameters.max_deterministic_time = effort
    solver.parameters.linearization_level = 2
    status = solver.solve(model)
    sequences = None
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        follows = {(p, i): j for (p, i, j), arc in arc_of.items() if solver.boolean_value(arc)}
        sequences = []
        for p in range(presses):
            chain: list[int] = []
            at = lots
            while (p, at) in follows:
                at = follows[p, at]
                chain.append(at)
            sequences.append(chain)
    return PressWork(max(0.0, solver.best_objective_bound) / SCALE, sequences)


def _floor(amount: float) -> int:
    return int(np.floor(amount * SCALE))


def _pinned_heads(inst: Instance) -> list[list[int]]:
    """Lots the maker has pinned to the head of each press."""
    heads, n = [], 0
    for number in inst.pinned:
        heads.append(list(range(n, n + int(number))))
        n += int(number)
    return heads

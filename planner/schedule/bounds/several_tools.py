"""What no plan can undercut where several tools make a part, whoever of them makes how many (RULES.md, D6).

    bound = bound_over_shares(everything, works)

`everything` is the campaign compiled as if each of those tools made all of its parts by itself, with none of what that
costs in its fixed cost. Of each group of tools in one set of colours only what any way to share asks for is counted:
the cheapest shots that mould enough (a linear programme: good parts are moulded ones at the most), one changeover, and
the days that pass until the first of the tools could have made its part of what a batch waits for.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from planner.schedule.bounds.changeovers import Changeovers, least_changeovers
from planner.schedule.bounds.earliest import earliest_dispatch
from planner.schedule.bounds.work import production_seconds, second_cost
from planner.schedule.instance import Instance

SLACK = 1e-7
"""Share of a programme's value by which a solver may be off."""


@dataclass(frozen=True)
class SharedWork:
    """A group of tools in one set of colours. runs: their run demands. parts: of each part, the good ones needed and
    the parts a shot of each run moulds. material: money a shot of each run takes, pieces charged included."""

    runs: Sequence[int]
    parts: Sequence[tuple[int, Sequence[int]]]
    material: Sequence[float]


def bound_over_shares(inst: Instance, works: Sequence[SharedWork]) -> float:
    """Money that no plan undercuts."""
    least = least_changeovers(inst)
    shared = {run for work in works for run in work.runs}
    own = [run for run in range(inst.run_tool.size) if run not in shared]
    a_second = second_cost(inst)[:, None] + inst.tending
    made = np.where(inst.fits, production_seconds(inst) * a_second, np.inf).min(axis=0)
    a_shot = np.where(inst.fits, inst.shot_num / inst.shot_den * a_second, np.inf).min(axis=0)
    money = float(inst.fixed_cost + made[own].sum())
    money += sum(_cheapest(work, [float(a_shot[run]) for run in work.runs]) for work in works)
    entered = _entered(inst, least)
    money += sum(entered[run] for run in own) + sum(min(entered[run] for run in work.runs) for work in works)
    return money + earliest_dispatch(inst, least).late


def _cheapest(work: SharedWork, press: Sequence[float]) -> float:
    """Money of the cheapest shots that mould as many of each part as are needed."""
    cost = np.array([a + b for a, b in zip(press, work.material, strict=True)])
    can = np.isfinite(cost)
    if not can.any():
        return 0.0
    rows = np.array([[-float(n) for n in each] for _, each in work.parts])[:, can]
    # Here: it takes long to load, and few campaigns have several tools for a part.
    from scipy.optimize import linprog

    found = linprog(cost[can], A_ub=rows, b_ub=[-float(needed) for needed, _ in work.parts], method="highs")
    return max(0.0, float(found.fun) * (1 - SLACK)) if found.status == 0 else 0.0


def _entered(inst: Instance, least: Changeovers) -> list[float]:
    """Money of the cheapest changeover to each run, whatever is before it."""
    runs = inst.run_tool.size
    money = np.where(least.needed, least.money(inst, second_cost(inst)), 0.0)
    found = []
    for run in range(runs):
        before = [
            float(money[p, q, run])
            for p in np.flatnonzero(inst.fits[:, run])
            for q in (*(int(q) for q in np.flatnonzero(inst.fits[p]) if q != run), runs)
        ]
        found.append(min(before, default=0.0))
    return found

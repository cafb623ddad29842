"""Neighbouring lots of one demand made one run before the plan is written down, wherever that costs nothing.

A run must have all its material at its start; lots may begin with what there is. So a merge is kept only where the plan
gets no dearer by it; the rest stay as they are, runs that go on without a changeover.
"""

from collections.abc import Callable

import numpy as np

from planner.schedule.instance import Instance, packed_instance
from planner.schedule.solution import Solution, objective_of
from planner.schedule.timing import timing_for

SLACK = 1e-7
"""Share of the objective that rounding a working time once instead of twice may move."""


def merged(
    inst: Instance, solution: Solution, fine: Callable[[Instance, Solution], bool] | None = None
) -> tuple[Instance, Solution]:
    """The same plan with neighbouring lots joined, first those of the earliest places; lots wait as the instance has
    them wait. fine: whether what else matters allows two to be joined; none: nothing else matters."""
    value = objective_of(packed_instance(inst), solution, timing_for(inst))
    apart: set[tuple[int, int]] = set()  # (press, place) of lots that must not join the one before
    while True:
        place = _next_pair(inst, solution, apart)
        if place is None:
            return inst, solution
        joined_inst, joined = _join(inst, solution, *place)
        cost = objective_of(packed_instance(joined_inst), joined, timing_for(joined_inst))
        if cost <= value + SLACK * abs(value) and (fine is None or fine(joined_inst, joined)):
            inst, solution = joined_inst, joined
        else:
            apart.add(place)


def _next_pair(inst: Instance, solution: Solution, apart: set[tuple[int, int]]) -> tuple[int, int] | None:
    for p in range(solution.length.size):
        for n in range(1, int(solution.length[p])):
            lot, before = solution.seq[p, n], solution.seq[p, n - 1]
            if inst.lot_run[lot] == inst.lot_run[before] and (p, n) not in apart:
                return p, n
    return None


def _join(inst: Instance, solution: Solution, p: int, n: int) -> tuple[Instance, Solution]:
    """Lot n of press p added to the one before it. The places of later lots on that press move up by one."""
    gone, kept = int(solution.seq[p, n]), int(solution.seq[p, n - 1])
    shots = inst.lot_shots.copy()
    shots[kept] += shots[gone]
    seq = np.where(solution.seq > gone, solution.seq - 1, solution.seq)
    seq[p, n:-1] = seq[p, n + 1 :].copy()
    length = solution.length.copy()
    length[p] -= 1
    smaller = inst._replace(lot_run=np.delete(inst.lot_run, gone), lot_shots=np.delete(shots, gone))
    if inst.lot_release.size:
        smaller = smaller._replace(lot_release=np.delete(inst.lot_release, gone))
    return smaller, Solution(seq[:, : smaller.lot_run.size].copy(), length, solution.order.copy())

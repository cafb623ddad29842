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


Place = tuple[int, int]
"""Press, and place of a lot in its sequence."""


def merged(
    inst: Instance, solution: Solution, fine: Callable[[Instance, Solution], bool] | None = None
) -> tuple[Instance, Solution]:
    """The same plan with neighbouring lots joined, first those of the earliest places; lots wait as the instance has
    them wait. fine: whether what else matters allows lots to be joined; none: nothing else matters.

    Tried all at once, and where that does not do in halves: most plans need one try instead of one a lot.
    """
    value = objective_of(packed_instance(inst), solution, timing_for(inst))
    joined: list[Place] = []
    best = inst, solution
    untried = [_neighbours(inst, solution)]
    while untried:
        some = untried.pop()
        if not some:
            continue
        ours, order = _joined(inst, solution, [*joined, *some])
        cost = objective_of(packed_instance(ours), order, timing_for(ours))
        if cost <= value + SLACK * abs(value) and (fine is None or fine(ours, order)):
            joined += some
            best = ours, order
        elif len(some) > 1:
            half = len(some) // 2
            untried += [some[half:], some[:half]]
    return best


def _neighbours(inst: Instance, solution: Solution) -> list[Place]:
    """Places of lots of the same demand as the lot before."""
    demand = inst.lot_run[solution.seq]
    return [
        (p, n)
        for p in range(solution.length.size)
        for n in range(1, int(solution.length[p]))
        if demand[p, n] == demand[p, n - 1]
    ]


def _joined(inst: Instance, solution: Solution, places: list[Place]) -> tuple[Instance, Solution]:
    """With the lots at those places joined to the ones before them."""
    for p, n in sorted(places, reverse=True):  # from the last on, so that none before it moves up
        inst, solution = _join(inst, solution, p, n)
    return inst, solution


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

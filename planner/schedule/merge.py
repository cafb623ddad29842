"""Lots of one demand that follow each other on a press, made one run before the plan is written down.

Each lot's working time is rounded up to a second; one run rounds once. A merged run must have all its material at its
start, so the merge is kept only where it costs nothing.
"""

import numpy as np

from planner.schedule.instance import Instance
from planner.schedule.solution import Solution


def merged(inst: Instance, solution: Solution) -> tuple[Instance, Solution]:
    """The same plan with neighbouring lots of one demand made one lot."""
    lot_run: list[int] = []
    lot_shots: list[int] = []
    joined = Solution.empty(inst)
    joined.order = solution.order.copy()
    for p in range(solution.length.size):
        for n in range(solution.length[p]):
            lot = solution.seq[p, n]
            if n and inst.lot_run[lot] == inst.lot_run[solution.seq[p, n - 1]]:
                lot_shots[-1] += int(inst.lot_shots[lot])
                continue
            joined.append(p, len(lot_run))
            lot_run.append(int(inst.lot_run[lot]))
            lot_shots.append(int(inst.lot_shots[lot]))
    joined.seq = joined.seq[:, : len(lot_run)].copy()
    return inst._replace(lot_run=np.array(lot_run), lot_shots=np.array(lot_shots)), joined

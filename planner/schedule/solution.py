"""A plan as the search sees it: who runs where in what order, and which pack batch is served first."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from planner.schedule.chance import seeded
from planner.schedule.glance_tables import no_glance
from planner.schedule.instance import Instance, Ints
from planner.schedule.tape import Tape
from planner.schedule.timing import Timing
from planner.schedule.walk import HERE, VALUES, walk


@dataclass
class Solution:
    """seq (P, J): lots of each press in order, of which the first length (P) count. order (B): pack batches."""

    seq: Ints
    length: Ints
    order: Ints

    @classmethod
    def empty(cls, inst: Instance) -> "Solution":
        presses, lots = inst.restart_s.size, inst.lot_run.size
        return cls(
            np.full((presses, lots), -1, dtype=np.int64),
            np.zeros(presses, dtype=np.int64),
            np.arange(inst.batch_work.size, dtype=np.int64),
        )

    def copy(self) -> "Solution":
        return Solution(self.seq.copy(), self.length.copy(), self.order.copy())

    def append(self, press: int, lot: int) -> None:
        self.seq[press, self.length[press]] = lot
        self.length[press] += 1

    def lots(self) -> list[list[int]]:
        """Lots of each press in order."""
        return [[int(lot) for lot in row[:n]] for row, n in zip(self.seq, self.length, strict=True)]


def allowed(inst: Instance, solution: Solution) -> bool:
    """Whether every lot fits its press (A1) and no two resins that must never meet share one (A6)."""
    for p, lots in enumerate(solution.lots()):
        runs = inst.lot_run[lots]
        if not inst.fits[p, runs].all() or inst.clash[np.ix_(runs, runs)].any():
            return False
    return True


_NO_GLANCE = no_glance()
_NO_SCRAP = np.zeros((2, 1), dtype=np.int64)
_NO_CHANCE = seeded(0)


def objective_of(tp: Tape, solution: Solution, timing: Timing) -> float:
    """The objective, with the timing written to `timing`; inf if the solution cannot be timed.

    A1 and A6 are not looked at: see `allowed`.
    """
    values = np.zeros(VALUES)
    plan = (solution.seq, solution.length, solution.order)
    evaluate: Any = walk
    evaluate(tp.ints, tp.floats, *plan, *plan, *plan, *timing, *_NO_GLANCE, _NO_SCRAP, values, 0, 1.0, 1.0, _NO_CHANCE)
    return float(values[HERE])

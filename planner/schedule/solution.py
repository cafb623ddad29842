"""A plan as the search sees it: who runs where in what order, and which pack batch is served first."""

from dataclasses import dataclass

import numpy as np

from planner.schedule.evaluate import allowed, evaluate
from planner.schedule.instance import Instance, Ints
from planner.schedule.tape import Tape
from planner.schedule.timing import Timing


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


def objective_of(tp: Tape, solution: Solution, timing: Timing) -> float:
    """The objective, with the timing written to `timing`; inf if the solution breaks A1, A6 or cannot be timed."""
    if not allowed(tp.ints, solution.seq, solution.length):
        return float("inf")
    return float(evaluate(tp.ints, tp.floats, solution.seq, solution.length, solution.order, *timing))

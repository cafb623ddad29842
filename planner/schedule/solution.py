"""A plan as the search sees it: who runs where in what order, and which pack batch is served first."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from planner.schedule.annealing import VALUES, ChainState, anneal
from planner.schedule.delta_tables import no_delta_tables
from planner.schedule.instance import Instance, Ints
from planner.schedule.packed import pack
from planner.schedule.rng import seeded
from planner.schedule.sequences import Sequences
from planner.schedule.timing import OBJECTIVE, Timing


@dataclass
class Solution:
    """seq (P, J): lots of each press in order, of which the first length (P) count. order (B): pack batches.

    release (J): openings that lots wait for on purpose, s (0: none); None: none waits.
    """

    seq: Ints
    length: Ints
    order: Ints
    release: Ints | None = None

    @classmethod
    def empty(cls, inst: Instance) -> "Solution":
        presses, lots = inst.restart_s.size, inst.lot_run.size
        return cls(
            np.full((presses, lots), -1, dtype=np.int64),
            np.zeros(presses, dtype=np.int64),
            np.arange(inst.batch_work.size, dtype=np.int64),
        )

    def copy(self) -> "Solution":
        release = None if self.release is None else self.release.copy()
        return Solution(self.seq.copy(), self.length.copy(), self.order.copy(), release)

    def packed(self) -> Sequences:
        """The same arrays as compiled code takes them."""
        return pack(Sequences(self.seq, self.length, self.order))

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


def waiting(inst: Instance, solution: Solution) -> Instance:
    """The instance whose lots wait as the solution has them wait."""
    return inst if solution.release is None else inst._replace(lot_release=solution.release)


def objective_of(packed: Instance, solution: Solution, timing: Timing) -> float:
    """The objective, with the timing written to `timing`; inf if the solution cannot be timed.

    A1 and A6 are not looked at: see `allowed`. Lots wait as `packed` has them wait, see `waiting`.
    """
    evaluate: Any = anneal
    evaluate(packed, timing, solution.packed(), _NO_CHAIN, 0, 1.0, 1.0)
    return float(timing.totals[OBJECTIVE])


def _no_chain() -> ChainState:
    """Of the right kinds, for a chain that goes nowhere."""
    nothing = Sequences(np.zeros((1, 1), dtype=np.int64), *np.zeros((2, 1), dtype=np.int64))
    scratch, values = np.zeros((2, 1), dtype=np.int64), np.zeros(VALUES)
    return pack(ChainState(pack(nothing), pack(nothing), no_delta_tables(), scratch, values, seeded(0)))


_NO_CHAIN = _no_chain()

"""Every plan of a small campaign, but for those that cannot beat the best: what remains is proven.

The space is the whole one of RULES.md: each lot on any press it fits, lots in any order on each press, pack batches
served in any order, everything as early as the rules allow. Branches (`branching.py`) are cut where what a path has
cost so far, the cheapest way to place the rest, what whole bags leave over and lateness no way to go on escapes is no
better. Where the presses are settled, a batch is late at least as much as if it were served before all others.

Why: bounds alone seldom meet a plan to the cent; on campaigns of ten runs this does.
"""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import permutations

import numpy as np

from planner.control import Control
from planner.schedule import branch_state as br
from planner.schedule import timing as w
from planner.schedule.bounds.changeovers import Changeovers
from planner.schedule.bounds.earliest import earliest_dispatch
from planner.schedule.bounds.lowest import Lowest
from planner.schedule.ground import Ground
from planner.schedule.instance import NEVER, Instance, Ints
from planner.schedule.kinds import small_enough
from planner.schedule.solution import Solution, objective_of
from planner.schedule.tape import Tape
from planner.schedule.timing import Timing

MOST_ORDERS_OF = 5
"""Pack batches whose every order of service is tried; with more, the bound on their lateness has to do."""
MOST_TRIED = 4
"""Orders of service that did best so far, tried where the presses are settled."""
MOST_NODES = 60_000_000
NODES_A_ROUND = 100_000
"""Of a search by rounds: about as long as a round takes."""
SLICE = 20_000
"""Branches between two looks at the clock: some hundredths of a second."""
PRECISION = 1e-4
"""Money below which two plans count as equal."""


@dataclass
class Exact:
    """best: the best plan, its objective in `value`. proven: no plan is better by more than PRECISION.

    bound: of the objective; all plans were gone through or lie above it. -inf where it was given up.
    """

    best: Solution
    value: float
    proven: bool
    bound: float = -np.inf


def exhaust(
    inst: Instance,
    tp: Tape,
    timing: Timing,
    least: Changeovers,
    lowest: Lowest,
    known: Exact,
    control: Control,
    nodes: int = MOST_NODES,
) -> Exact:
    """Go through all plans from the best one known. Gives up (proven: False) after so many nodes, when asked to stop,
    or when half of the time that is left is gone."""
    if not small_enough(inst):
        return known
    branching = _Branching(inst, tp, timing, least, lowest, known, control, nodes)
    finished = branching.go()
    bound = min(branching.value, branching.open_leaves) if finished else -np.inf
    return Exact(branching.best, branching.value, bound >= branching.value - PRECISION, bound)


class _Branching:
    def __init__(
        self,
        inst: Instance,
        tp: Tape,
        timing: Timing,
        least: Changeovers,
        lowest: Lowest,
        known: Exact,
        control: Control,
        nodes: int,
    ) -> None:
        self.inst, self.tp, self.timing, self.control, self.least = inst, tp, timing, control, least
        self.best, self.value = known.best, known.value
        self.most_nodes = nodes
        left = control.seconds_left()
        self.until = None if left is None else left / 2
        self.open_leaves = np.inf  # least objective of those that could not be closed
        self.leaves = 0
        self.orders: list[Ints] = [self.best.order.copy()]
        self.ground = Ground(inst, tp)

    def go(self) -> bool:
        """Whether all was gone through."""
        if not self.ground.fill(self._late):
            return False
        marks = self.ground.marks
        while True:
            if marks[br.NODES] >= self.most_nodes or self._late():
                return False
            marks[br.MOST] = min(self.most_nodes, marks[br.NODES] + SLICE)
            self.ground.amounts[br.LIMIT] = self.value - PRECISION
            ended = self.ground.branch()
            if ended == br.FINISHED:
                return True
            if ended == br.LEAF:
                self.leaves += 1
                self._leaf(self.ground.sequences())

    def _late(self) -> bool:
        left = self.control.seconds_left()
        return self.control.should_stop() or (left is not None and self.until is not None and left < self.until)

    def _leaf(self, sequences: list[list[int]]) -> None:
        """Look for an order of service with which this order of runs beats the best plan, or note that one might."""
        bound = float(self.ground.amounts[br.LEAST])
        solution = Solution.empty(self.inst)
        for p, lots in enumerate(sequences):
            for j in lots:
                solution.append(p, j)
        if self.inst.batch_work.size <= MOST_ORDERS_OF:
            for tried in permutations(range(self.inst.batch_work.size)):
                solution.order = np.array(tried, dtype=np.int64)
                self._try(solution)
            return
        here, best = np.inf, self.orders[0]
        for order in self.orders:
            solution.order = order
            value = self._try(solution)
            if value < here:
                here, best = value, order
            if bound >= self.value - PRECISION:
                return
        if np.isfinite(here):
            late = earliest_dispatch(self.inst, self.least, shots_done(self.inst, self.timing)).late
            bound = max(bound, self._lines() + self.inst.aim_cost * late)
            if bound >= self.value - PRECISION:
                return
        else:
            if self.timing.totals[w.COST] > 0.0:  # it is the benches that cannot carry it out
                self.open_leaves = min(self.open_leaves, bound)
            return
        best, here = self._served_better(solution, best, here, bound)
        self.orders = [best, *(order for order in self.orders if order is not best)][:MOST_TRIED]
        if bound < self.value - PRECISION:
            self.open_leaves = min(self.open_leaves, bound)

    def _lines(self) -> float:
        """What the presses alone bring to the objective of the plan timed last."""
        inst, totals = self.inst, self.timing.totals
        waste = inst.aim_waste * (totals[w.PURGE_TOTAL_KG] + totals[w.STARTUP_TOTAL_KG])
        return float(inst.aim_cost * (totals[w.COST] - totals[w.LATENESS]) + waste)

    def _served_better(self, solution: Solution, order: Ints, value: float, bound: float) -> tuple[Ints, float]:
        """Late batches moved forward one by one, as long as that helps and the bound is not met."""
        inst, better = self.inst, True
        while better and value > bound + PRECISION:
            better = False
            solution.order = order
            self._try(solution)
            day = inst.pickup_day[self.timing.batches[:, w.PICKUP]]
            late = np.maximum(0, day - inst.batch_due) * inst.batch_late_cost
            for b in np.argsort(-late, kind="stable")[: int((late > 0).sum())]:
                moved = np.concatenate([[b], order[order != b]])
                solution.order = moved
                now = self._try(solution)
                if now < value - PRECISION:
                    order, value, better = moved, now, True
                    break
        return order, value

    def _try(self, solution: Solution) -> float:
        value = objective_of(self.tp, solution, self.timing)
        if value < self.value - PRECISION:
            self.best, self.value = solution.copy(), value
        return value


def shots_done(inst: Instance, timing: Timing) -> Callable[[int, int], int]:
    """When so many shots of a run demand are done, all its lots together, as they are timed now."""
    lots: dict[int, list[int]] = {}
    for lot in timing.lots[:, w.ORDER].tolist():
        lots.setdefault(int(inst.lot_run[lot]), []).append(lot)

    def done(run: int, shots: int) -> int:
        for lot in lots[run]:
            if shots <= inst.lot_shots[lot]:
                row, p = timing.lots[lot], timing.lots[lot, w.PRESS]
                left = -(-shots * int(inst.shot_num[p, run]) // int(inst.shot_den[p, run]))
                for piece in timing.pieces[row[w.FIRST_PIECE] : row[w.FIRST_PIECE] + row[w.PIECES]]:
                    if left <= piece[w.WORK]:
                        return int(piece[w.BEGAN] + left)
                    left -= int(piece[w.WORK])
            shots -= int(inst.lot_shots[lot])
        return NEVER

    return done

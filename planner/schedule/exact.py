"""Every plan of a small campaign, but for those that cannot beat the best: what remains is proven.

The space is the whole one of RULES.md: each lot on any press it fits, lots in any order on each press, pack batches
served in any order, everything as early as the rules allow. Branches are cut where the cheapest a sequence could cost
(its shots, changeovers and warm-ups so far, the cheapest way to place the rest, and lateness no plan escapes) is no
better. Where the presses are settled, a batch is late at least as much as if it were served before all others.

Why: bounds alone seldom meet a plan to the cent; on up to seventeen lots this does. The cheapest way to place the rest
is worked out once for every set of lots (`completion.py`).
"""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import permutations
from math import ceil

import numpy as np

from planner.control import Control
from planner.schedule import timing as w
from planner.schedule.bounds.changeovers import Changeovers
from planner.schedule.bounds.earliest import earliest_dispatch
from planner.schedule.bounds.lowest import Lowest
from planner.schedule.bounds.work import usable_seconds
from planner.schedule.completion import cheapest_rest
from planner.schedule.instance import NEVER, Instance
from planner.schedule.solution import Solution, objective_of
from planner.schedule.tape import Tape
from planner.schedule.timing import Timing

MOST_LOTS = 17
MOST_ORDERS_OF = 5
"""Pack batches whose every order of service is tried; with more, the bound on their lateness has to do."""
MOST_NODES = 2_000_000
NODES_A_ROUND = 10_000
"""Of a search by rounds: about as long as a round takes."""
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
    if inst.lot_run.size > MOST_LOTS:
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
        self.inst, self.tp, self.timing, self.control = inst, tp, timing, control
        self.best, self.value = known.best, known.value
        self.nodes, self.most_nodes = 0, nodes
        left = control.seconds_left()
        self.until = None if left is None else left / 2
        self.open_leaves = np.inf  # least objective of those that could not be closed
        self.presses, self.lots, self.runs = inst.restart_s.size, inst.lot_run.size, inst.run_tool.size
        self.entry = least.money(inst, inst.press_cost_s)
        self.entry_s = least.seconds
        self.usable = np.maximum(usable_seconds(inst), 1)
        run = inst.lot_run
        self.work = inst.lot_shots * inst.shot_num[:, run] // inst.shot_den[:, run]
        self.least = least
        self.floor = inst.aim_cost * (inst.fixed_cost + lowest.late)
        self.twins = {
            j: next(
                (i for i in range(j - 1, -1, -1) if run[i] == run[j] and inst.lot_shots[i] == inst.lot_shots[j]), None
            )
            for j in range(self.lots)
        }
        self.pinned: list[list[int]] = []
        n = 0
        for number in inst.pinned:
            self.pinned.append(list(range(n, n + int(number))))
            n += int(number)
        self.warm_s = inst.restart_s * inst.press_cost_s / self.usable
        self.rest = cheapest_rest(
            inst, self.work * (inst.press_cost_s + self.warm_s)[:, None],
            self.entry + self.entry_s * self.warm_s[:, None, None], self.pinned,
        )  # fmt: skip

    def go(self) -> bool:
        """Whether all was gone through."""
        fixed = {j for head in self.pinned for j in head}
        try:
            self._press(0, [], sum(1 << j for j in range(self.lots) if j not in fixed), 0.0)
        except _GivenUp:
            return False
        return True

    def _press(self, p: int, done: list[list[int]], left: int, cost: float) -> None:
        if p == self.presses:
            if not left:
                self._leaf(done)
            return
        sequence: list[int] = []
        spent, seconds, at = 0.0, 0, self.runs
        for j in self.pinned[p]:
            spent, seconds, at = self._after(p, j, spent, seconds, at)
            sequence.append(j)
        self._lot(p, done, sequence, left, cost, spent, seconds, at)

    def _lot(
        self,
        p: int,
        done: list[list[int]],
        sequence: list[int],
        left: int,
        cost: float,
        spent: float,
        seconds: int,
        at: int,
    ) -> None:
        self.nodes += 1
        if self.nodes > self.most_nodes or (self.nodes % 64 == 0 and self._late()):
            raise _GivenUp
        inst = self.inst
        least = cost + spent + seconds * self.warm_s[p] + self.rest[p, left, at]
        if np.isinf(least):  # a lot is left that fits none of the presses left
            return
        if self.floor + inst.aim_cost * least >= self.value - PRECISION:
            return
        warm = ceil(seconds / self.usable[p]) * inst.restart_s[p] * inst.press_cost_s[p]
        self._press(p + 1, [*done, sequence], left, cost + spent + float(warm))
        for j in range(self.lots):
            if not (left >> j) & 1:
                continue
            run = inst.lot_run[j]
            twin = self.twins[j]
            if not inst.fits[p, run] or (twin is not None and (left >> twin) & 1):
                continue
            if any(inst.clash[run, inst.lot_run[i]] for i in sequence):
                continue
            after = self._after(p, j, spent, seconds, at)
            self._lot(p, done, [*sequence, j], left & ~(1 << j), cost, *after)

    def _late(self) -> bool:
        left = self.control.seconds_left()
        return self.control.should_stop() or (left is not None and self.until is not None and left < self.until)

    def _after(self, p: int, j: int, spent: float, seconds: int, at: int) -> tuple[float, int, int]:
        """Money, seconds and the last run after lot j is put behind run `at` on press p."""
        run = int(self.inst.lot_run[j])
        spent += float(self.work[p, j] * self.inst.press_cost_s[p])
        seconds += int(self.work[p, j])
        if at != run:
            spent += float(self.entry[p, at, run])
            seconds += int(self.entry_s[p, at, run])
        return spent, seconds, run

    def _leaf(self, sequences: list[list[int]]) -> None:
        inst, solution = self.inst, Solution.empty(self.inst)
        for p, lots in enumerate(sequences):
            for j in lots:
                solution.append(p, j)
        solution.order = self.best.order.copy()
        value = self._try(solution)
        totals = self.timing.totals
        if np.isinf(value) and totals[w.COST] == 0.0:
            return  # presses that cannot carry it out never will, whatever is served first
        waste = inst.aim_waste * (totals[w.PURGE_TOTAL_KG] + totals[w.STARTUP_TOTAL_KG])
        lines = inst.aim_cost * (totals[w.COST] - totals[w.LATENESS]) + waste
        if lines + self.floor - inst.aim_cost * inst.fixed_cost >= self.value - PRECISION:
            return
        late = earliest_dispatch(inst, self.least, shots_done(inst, self.timing)).late if np.isfinite(value) else 0.0
        bound = max(lines + inst.aim_cost * late, lines + self.floor - inst.aim_cost * inst.fixed_cost)
        if bound >= self.value - PRECISION:
            return
        if inst.batch_work.size > MOST_ORDERS_OF:
            self.open_leaves = min(self.open_leaves, bound)
            return
        for order in permutations(range(inst.batch_work.size)):
            solution.order = np.array(order, dtype=np.int64)
            self._try(solution)

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


class _GivenUp(Exception):
    pass

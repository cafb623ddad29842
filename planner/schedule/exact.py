"""Every plan of a small campaign, but for those that cannot beat the best: what remains is proven.

The space is the whole one of RULES.md: each lot on any press it fits, lots in any order on each press, pack batches
served in any order, everything as early as the rules allow. Branches are cut where the cheapest a sequence could cost
(its shots, changeovers and warm-ups so far, the cheapest of the rest, and lateness no plan escapes) is no better.

Why: bounds alone seldom meet a plan to the cent; on up to a dozen lots this does.
"""

from dataclasses import dataclass
from itertools import permutations
from math import ceil

import numpy as np

from planner.control import Control
from planner.schedule import timing as w
from planner.schedule.bounds.changeovers import Changeovers
from planner.schedule.bounds.lowest import Lowest
from planner.schedule.bounds.work import usable_seconds
from planner.schedule.instance import Instance
from planner.schedule.solution import Solution, objective_of
from planner.schedule.tape import Tape
from planner.schedule.timing import Timing

MOST_LOTS = 12
MOST_ORDERS_OF = 5
"""Pack batches whose every order of service is tried; with more, only plans that are late nowhere can be closed."""
MOST_NODES = 30_000
PRECISION = 1e-4
"""Money below which two plans count as equal."""


@dataclass
class Exact:
    """best: the best plan, its objective in `value`. proven: no plan is better by more than PRECISION."""

    best: Solution
    value: float
    proven: bool


def exhaust(
    inst: Instance, tp: Tape, timing: Timing, least: Changeovers, lowest: Lowest, known: Exact, control: Control
) -> Exact:
    """Go through all plans from the best one known. Gives up (proven: False) after MOST_NODES or when asked to stop."""
    if inst.lot_run.size > MOST_LOTS:
        return known
    branching = _Branching(inst, tp, timing, least, lowest, known, control)
    proven = branching.go()
    return Exact(branching.best, branching.value, proven)


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
    ) -> None:
        self.inst, self.tp, self.timing, self.control = inst, tp, timing, control
        self.best, self.value = known.best, known.value
        self.nodes = 0
        self.open_leaves = False
        self.presses, self.lots, self.runs = inst.restart_s.size, inst.lot_run.size, inst.run_tool.size
        self.entry = least.money(inst, inst.press_cost_s)
        self.entry_s = least.seconds
        self.usable = np.maximum(usable_seconds(inst), 1)
        run = inst.lot_run
        self.work = inst.lot_shots * inst.shot_num[:, run] // inst.shot_den[:, run]
        fits = inst.fits[:, run]
        # the cheapest of each lot, wherever it may stand, and of entering each demand that no lot of was placed yet
        self.least_work = np.where(fits, self.work * inst.press_cost_s[:, None], np.inf).min(axis=0)
        into = np.where(inst.fits[:, None, :], self.entry, np.inf)
        for q in range(self.runs):
            into[:, q, q] = np.inf
            into[~inst.fits[:, q], q, :] = np.inf
        self.least_entry = into.min(axis=(0, 1))
        self.lots_of = [frozenset(np.flatnonzero(run == r).tolist()) for r in range(self.runs)]
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

    def go(self) -> bool:
        """Whether all was gone through."""
        fixed = {j for head in self.pinned for j in head}
        try:
            self._press(0, [], frozenset(range(self.lots)) - fixed, 0.0)
        except _GivenUp:
            return False
        return not self.open_leaves

    def _press(self, p: int, done: list[list[int]], left: frozenset[int], cost: float) -> None:
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
        left: frozenset[int],
        cost: float,
        spent: float,
        seconds: int,
        at: int,
    ) -> None:
        self.nodes += 1
        if self.nodes > MOST_NODES or (self.nodes % 64 == 0 and self.control.should_stop()):
            raise _GivenUp
        inst = self.inst
        warm = ceil(seconds / self.usable[p]) * inst.restart_s[p] * inst.press_cost_s[p]
        here = cost + spent + float(warm)
        rest = sum(self.least_work[j] for j in left)
        rest += sum(self.least_entry[r] for r, lots in enumerate(self.lots_of) if lots <= left)
        if self.floor + inst.aim_cost * (here + rest) >= self.value - PRECISION:
            return
        self._press(p + 1, [*done, sequence], left, here)
        for j in sorted(left):
            run = inst.lot_run[j]
            if not inst.fits[p, run] or self.twins[j] in left:
                continue
            if any(inst.clash[run, inst.lot_run[i]] for i in sequence):
                continue
            after = self._after(p, j, spent, seconds, at)
            self._lot(p, done, [*sequence, j], left - {j}, cost, *after)

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
        lines = totals[w.COST] - totals[w.LATENESS] - inst.fixed_cost
        kg = totals[w.PURGE_TOTAL_KG] + totals[w.STARTUP_TOTAL_KG]
        if self.floor + inst.aim_cost * lines + inst.aim_waste * kg >= self.value - PRECISION:
            return
        if inst.batch_work.size > MOST_ORDERS_OF:
            self.open_leaves = True
            return
        for order in permutations(range(inst.batch_work.size)):
            solution.order = np.array(order, dtype=np.int64)
            self._try(solution)

    def _try(self, solution: Solution) -> float:
        value = objective_of(self.tp, solution, self.timing)
        if value < self.value - PRECISION:
            self.best, self.value = solution.copy(), value
        return value


class _GivenUp(Exception):
    pass

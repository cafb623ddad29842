"""Every plan of a small campaign, but for those that cannot beat the best: what remains is proven.

The space: each lot on any press it fits, lots in any order on each press, pack batches served in any order, everything
as early as the rules allow or, where that can save a restart, with one of the next openings of the press. Branches
(`branching.py`) are cut where what a path has cost so far, the cheapest way to place the rest, what whole bags leave
over and lateness no way to go on escapes is no better. Where the presses are settled, lateness is at least what the
pick-ups cannot take (`pickup_assignment.py`). Lots cut otherwise are other plans: `recut.py`.

Why: bounds alone seldom meet a plan to the cent; on campaigns of ten runs this does.
"""

from dataclasses import dataclass
from itertools import permutations

import numpy as np

from planner.control import Control
from planner.schedule import timing as w
from planner.schedule.bounds.objective_gap import cost_is_the_aim
from planner.schedule.bounds.undercut import A_CENT
from planner.schedule.branch_and_bound import path_state as br
from planner.schedule.branch_and_bound.idle_benches import IdleBenches, few_enough
from planner.schedule.branch_and_bound.pickup_assignment import PickupAssignment
from planner.schedule.branch_and_bound.symmetry import Kinds, kinds_if_few
from planner.schedule.branch_and_bound.tables import Tables
from planner.schedule.instance import NONE, Instance, Ints, packed_instance
from planner.schedule.solution import Solution, objective_of
from planner.schedule.timing import Timing

MOST_ORDERS_OF = 5
"""Pack batches whose every order of service is tried; with more, the bound on their lateness has to do."""
MOST_TRIED = 4
"""Orders of service that did best so far, tried where the presses are settled."""
MOST_NODES = 60_000_000
NODES_A_ROUND = 100_000
"""Of a search by rounds: about as long as a round takes."""
STEPS_A_NODE = 20
"""Of closing leaves, by the most it may take: about as long as a branch takes, as most questions end soon."""
SLICE = 20_000
"""Branches between two looks at the clock: some hundredths of a second."""
LEFT_TO_ANNEALING = 0.2
"""Of the time there is, what a proof given up leaves."""
PRECISION = 1e-4
"""Money below which two plans count as equal."""
SHARE_OF_A_CENT = 1e-5
"""Share of what a plan costs that a proof need not tell apart, up to a cent."""


@dataclass
class Exact:
    """best: the best plan, its objective in `value`. proven: no plan is better by more than `told_apart`.

    bound: of the objective; all plans were gone through or lie above it. -inf where it was given up.
    """

    best: Solution
    value: float
    proven: bool
    bound: float = -np.inf


def told_apart(inst: Instance, value: float) -> float:
    """What two plans must differ by to count as different where one is called proven: a cent where money is the aim,
    so that what breaks ties between equals, or is rounded off a bound, keeps no proof away."""
    if not cost_is_the_aim(inst):
        return PRECISION
    return min(A_CENT, max(PRECISION, SHARE_OF_A_CENT * abs(value)))


def exhaust(
    inst: Instance,
    timing: Timing,
    known: Exact,
    control: Control,
    nodes: int = MOST_NODES,
    first: bool = False,
    leaves: float = np.inf,
) -> Exact:
    """Go through all plans from the best one known. Gives up (proven: False) after so many nodes or leaves (orders of
    all runs whose service was looked for), when asked to stop, or when most of the time is gone; `first`: with the
    first plan that can be carried out, where none was known."""
    kinds = kinds_if_few(inst)
    if kinds is None:
        return known
    # waits are written by the branching; lots are these and no others
    inst = inst._replace(lot_release=np.zeros(inst.lot_run.size, dtype=np.int64), run_smallest=NONE)
    branching = _Branching(inst, packed_instance(inst), timing, kinds, known, control, nodes, leaves)
    branching.enough = first
    finished = branching.go()
    bound = min(branching.value, branching.open_leaves) if finished else -np.inf
    return Exact(branching.best, branching.value, bound >= branching.value - told_apart(inst, branching.value), bound)


class _Branching:
    def __init__(
        self,
        inst: Instance,
        packed: Instance,
        timing: Timing,
        kinds: Kinds,
        known: Exact,
        control: Control,
        nodes: int,
        leaves: float,
    ) -> None:
        self.inst, self.packed, self.timing, self.control = inst, packed, timing, control
        self.best, self.value = known.best, known.value
        self.most_nodes, self.most_leaves = nodes, leaves
        left = control.seconds_left()
        self.until = None if left is None else left * LEFT_TO_ANNEALING
        self.open_leaves = np.inf  # least objective of those that could not be closed
        self.leaves = 0
        self.enough = False
        self.orders: list[Ints] = [self.best.order.copy()]
        self.tables = tables = Tables(inst, packed, kinds)
        self.idle = IdleBenches(inst)
        self.service = PickupAssignment(inst, packed, timing, tables.penalty, tables.hours, self._late)

    def go(self) -> bool:
        """Whether all was gone through."""
        if not self.tables.fill(self._late):
            return False
        marks = self.tables.marks
        if self.inst.lot_run.size == 0:  # all is in stock: one plan of the presses, and only the service to be settled
            self.tables.amounts[br.LEAST] = self.tables.amounts[br.FIXED]
            self._leaf(self.tables.sequences())
            return True
        while True:
            if marks[br.NODES] >= self.most_nodes or self.leaves >= self.most_leaves:
                return False
            if self._late() or (self.enough and self.value < np.inf):
                return False
            marks[br.MOST] = min(self.most_nodes, marks[br.NODES] + SLICE)
            self.tables.amounts[br.LIMIT] = self.value - PRECISION
            ended = self.tables.branch()
            if ended == br.FINISHED:
                return True
            if ended == br.LEAF:
                self.leaves += 1
                self._leaf(self.tables.sequences())
                marks[br.NODES] += self.service.spent // STEPS_A_NODE
                self.service.spent = 0

    def _late(self) -> bool:
        left = self.control.seconds_left()
        # where no time was left at the beginning none is left now
        return self.control.should_stop() or (left is not None and self.until is not None and left <= self.until)

    def _leaf(self, sequences: list[list[int]]) -> None:
        """Look for an order of service with which this order of runs beats the best plan, or note that one might."""
        bound = float(self.tables.amounts[br.LEAST])
        solution = Solution.empty(self.inst)
        self.inst.lot_release[:] = self.tables.releases()
        for p, lots in enumerate(sequences):
            for j in lots:
                solution.append(p, j)
        if self.inst.batch_work.size <= MOST_ORDERS_OF:
            self._every_order(solution, bound)
            return
        here, best = np.inf, self.orders[0]
        for order in self.orders:
            solution.order = order
            value = self._try(solution)
            if value < here:
                here, best = value, order
            if bound >= self.value - PRECISION:
                return
        if not np.isfinite(here):
            if self.timing.totals[w.COST] > 0.0:  # it is the benches that cannot carry it out
                self.open_leaves = min(self.open_leaves, bound)
            return
        lines = self._lines()
        least, served = self.service.cheapest(self.tables.sent[-1], best, self.value - PRECISION - lines)
        bound = max(bound, lines + least)
        if served is not None:
            solution.order = served
            value = self._try(solution)
            if value < here:
                here, best = value, served
        if bound >= self.value - PRECISION:
            return
        best, here = self._served_better(solution, best, here, bound)
        self.orders = [best, *(order for order in self.orders if order is not best)][:MOST_TRIED]
        if bound < self.value - PRECISION:
            self.open_leaves = min(self.open_leaves, bound)

    def _every_order(self, solution: Solution, bound: float) -> None:
        """Time every order of service; where a bench that stands idle for something more urgent, which is not timed,
        might beat them, the leaf stays open."""
        idle = np.inf
        few = few_enough(self.inst)
        for tried in permutations(range(self.inst.batch_work.size)):
            solution.order = np.array(tried, dtype=np.int64)
            if np.isfinite(self._try(solution)) and few and max(bound, self._lines()) < self.value - PRECISION:
                idle = min(idle, self._lines() + self.idle.least(self.timing))
        if self.timing.totals[w.COST] > 0.0 and not few and bound < self.value - PRECISION:
            lines = self._lines()
            least, _ = self.service.cheapest(self.tables.sent[-1], solution.order, self.value - PRECISION - lines)
            idle = lines + least
        if max(bound, idle) < self.value - PRECISION:
            self.open_leaves = min(self.open_leaves, max(bound, idle))

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
        value = objective_of(self.packed, solution, self.timing)
        if value < self.value - PRECISION:
            self.best, self.value = solution.copy(), value
            release = self.inst.lot_release
            self.best.release = release.copy() if release.any() else None
        return value

"""One chain and all it needs to go on: where it stands, its best plan, its room and its random numbers.

Why a class of its own: on a core that nothing else needs a second one runs beside the first, from another seed, and
the better of both plans is kept. They share nothing while they go on.
"""

from concurrent.futures import ThreadPoolExecutor
from typing import Any

import numpy as np

from planner.schedule.annealing import BEST, DRAWS, FLOOR, HERE, ORDER_MATTERS, VALUES, ChainState, anneal
from planner.schedule.delta_tables import DeltaTables, delta_tables_beside, order_matters
from planner.schedule.evening_out import EveningOut, worth_it
from planner.schedule.instance import Instance
from planner.schedule.packed import pack
from planner.schedule.reordering import Reordering
from planner.schedule.rng import seeded
from planner.schedule.solution import Solution, objective_of
from planner.schedule.timing import timing_for

OTHER_SEED = 0x5EED
"""Told from the seed of the first chain by so much."""

REORDER_SEED = 0x0DE5
"""As much for the random numbers of its reordering."""

ALONE = 0.9
"""Where there is one press, the share of the work spent on its order. See `reordering.py`."""

EXCHANGES_AN_ESTIMATE = 6
"""Exchanges priced in the time of an estimate."""

EVENED_AN_ESTIMATE = 4.0
"""Moves by which the loads of several presses are evened out, beside each estimate. See `evening_out.py`."""


class Chain:
    """A chain from a plan whose objective is `value`. delta: of its own."""

    def __init__(
        self, inst: Instance, packed: Instance, start: Solution, value: float, delta: DeltaTables, seed: int
    ) -> None:
        self.packed, self.timing, self.first = packed, timing_for(inst), start.copy()
        self.best, self.here, self.trial = start.copy(), start.copy(), start.copy()
        self.values = np.zeros(VALUES)
        self.values[HERE] = self.values[BEST] = value
        self.values[ORDER_MATTERS] = 1.0 if order_matters(inst) else 0.0
        self.delta = delta
        self.rng = seeded(seed)
        wide = max(inst.lot_run.size, inst.batch_work.size, inst.run_tool.size)
        self.scratch = np.zeros((2, wide), dtype=np.int64)
        self.reordering: Reordering | None = None
        self.evening: EveningOut | None = None
        if worth_it(inst):
            self.evening = EveningOut(inst, packed, delta, seed + REORDER_SEED)
        if inst.restart_s.size == 1 and not inst.announced:
            self.reordering = Reordering(inst, packed, delta, seed + REORDER_SEED)

    def steps(self, work: int, hot: float, cold: float) -> int:
        """Do so much work; how often the best was improved."""
        if self.evening is not None:
            improved = self.anneal(work, hot, cold)
            return improved + self._borne_out(self.evening.go_on(self.here, int(work * EVENED_AN_ESTIMATE)))
        if self.reordering is None:
            return self.anneal(work, hot, cold)
        improved = self.anneal(int(work * (1.0 - ALONE)), hot, cold)
        exchanges = int(work * ALONE * EXCHANGES_AN_ESTIMATE)
        return improved + self._borne_out(self.reordering.go_on(self.here, exchanges))

    def anneal(self, work: int, hot: float, cold: float) -> int:
        """Go on so far (see `anneal`); how often the best was improved."""
        compiled: Any = anneal
        best, trial = self.best.packed(), self.trial.packed()
        chain = pack(ChainState(best, trial, self.delta, self.scratch, self.values, self.rng))
        number = int(compiled(self.packed, self.timing, self.here.packed(), chain, work, hot, cold))
        if number:
            self.best.release = None  # the best plan is written over, and its lots wait for nothing of their own
        return number

    def _borne_out(self, found: Solution | None) -> int:
        """Go on from a plan that looks better, if timing it exactly bears that out; how often the best was improved:
        not at all, or once."""
        if found is None:
            return 0
        value = objective_of(self.packed, found, self.timing)
        if value <= self.values[HERE]:
            self.go_on_from(found)
            self.values[HERE] = value
        if value >= self.values[BEST] - 1e-9:
            return 0
        self.best = found
        self.values[BEST] = value
        return 1

    def cool_again(self) -> None:
        """Go on from the best plan, before the temperature rises again."""
        self.go_on_from(self.best)

    def begin_anew(self) -> None:
        """Go on from the plan that it began with."""
        self.go_on_from(self.first)

    def choose_among_equals(self) -> None:
        """What is aimed at gets no less: the loads of presses have nothing more to say."""
        self.evening = None

    def go_on_from(self, solution: Solution) -> None:
        self.here.seq[:], self.here.length[:], self.here.order[:] = solution.seq, solution.length, solution.order

    def adopt(self, solution: Solution, value: float) -> None:
        """Go on from a plan if it is better than the best so far."""
        if value < self.values[BEST]:
            self.best = solution.copy()
            self.go_on_from(self.best)
            self.values[HERE] = self.values[BEST] = value


class SecondChain:
    """A second chain in a thread of its own, slice by slice beside the first."""

    def __init__(self, inst: Instance, first: Chain, seed: int) -> None:
        value = float(first.values[BEST])
        self.chain = Chain(inst, first.packed, first.best, value, delta_tables_beside(first.delta), seed + OTHER_SEED)
        self.first = first
        if first.evening is None:
            self.chain.choose_among_equals()
        self.pool = ThreadPoolExecutor(max_workers=1)

    def steps(self, work: int, hot: float, cold: float) -> int:
        """Both go on so far; how often the best of both was improved. The first holds it afterwards."""
        second = self.chain
        for what in (DRAWS, FLOOR):
            second.values[what] = self.first.values[what]
        beside = self.pool.submit(second.steps, work, hot, cold)
        improved = self.first.steps(work, hot, cold)
        beside.result()
        if second.values[BEST] < self.first.values[BEST] - 1e-9:
            self.first.best = second.best.copy()
            self.first.values[BEST] = second.values[BEST]
            improved += 1
        return improved

    def cool_again(self) -> None:
        """The first goes on from the best of both, the second from its own best: two places are worth more than one."""
        self.first.go_on_from(self.first.best)
        self.chain.go_on_from(self.chain.best)

    def begin_anew(self) -> None:
        """Both go on from the plan that the first began with."""
        self.first.begin_anew()
        self.chain.go_on_from(self.first.first)

    def choose_among_equals(self) -> None:
        """Neither looks at the loads of presses any more."""
        self.first.choose_among_equals()
        self.chain.choose_among_equals()

    def end(self) -> None:
        self.pool.shutdown()

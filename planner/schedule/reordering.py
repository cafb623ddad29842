"""The order of the only press gone through by `press_order.py`, beside the chain.

Why: see there. It begins from the order that the chain has, or from a random one; each better order is timed exactly,
and becomes the plan to go on from if that bears it out. It gains on one press; on several, one after the other, it
gained nothing (`docs/decisions/0005-no-resequencing.md`).
"""

from typing import Any

import numpy as np

from planner.schedule.delay_cost import OrderCosts, wait_sums
from planner.schedule.delta_tables import DeltaTables
from planner.schedule.instance import Instance
from planner.schedule.order_costs import MOST_BREAKPOINTS, order_costs
from planner.schedule.packed import pack
from planner.schedule.press_order import (
    BETTER,
    COUNTS,
    DESCENTS,
    KINDS,
    LEARNING,
    SAMPLES,
    SINCE,
    VALUES,
    PressOrder,
    reorder,
)
from planner.schedule.rng import seeded
from planner.schedule.solution import Solution

PATIENCE = 400
"""Random exchanges in a row that lead to nothing better, before it begins anew."""


class Reordering:
    """Where it stands. delta: of the chain it goes beside."""

    def __init__(self, inst: Instance, packed: Instance, delta: DeltaTables, seed: int) -> None:
        self.packed, self.delta = packed, delta
        self.pinned = int(inst.pinned[0])
        self.rng, self.shuffle = seeded(seed), np.random.default_rng(seed)
        self.order: PressOrder | None = None
        self.begun = 0

    def go_on(self, here: Solution, work: int) -> Solution | None:
        """Price so many exchanges; a plan with a better order if one was found.

        here: the plan that the estimate was taken of, to begin anew from.
        """
        if here.length[0] == self.pinned:
            return None
        if self.order is None or self.order.counts[SINCE] >= PATIENCE:
            self.base = here.copy()
            self.order = self._laid_out(int(here.length[0]) - self.pinned)
        before = self.order.counts[BETTER]
        compiled: Any = reorder
        compiled(self.order, work, self.rng)
        if self.order.counts[BETTER] == before:
            return None
        found = self.base.copy()
        behind_pinned = self.base.seq[0, self.pinned : self.base.length[0]]
        found.seq[0, self.pinned : self.base.length[0]] = behind_pinned[self.order.best]
        return found

    def _laid_out(self, n: int) -> PressOrder:
        """Every other time from a random order."""
        seconds, money, dear = np.zeros((3, n + 1, n))
        at, by = np.zeros((2, n * MOST_BREAKPOINTS))
        costs = OrderCosts(seconds, money, dear, np.zeros(n), np.zeros(n + 1, dtype=np.int64), at, by)
        packed, ends = pack(costs), np.zeros(n + 1)
        compiled: Any = order_costs
        ends[n] = compiled(self.packed, self.base.packed(), self.delta, self.pinned, packed)
        order = np.arange(n) if self.begun % 2 == 0 else self.shuffle.permutation(n)
        self.begun += 1
        counts, limits = np.zeros(COUNTS, dtype=np.int64), np.full(KINDS, np.inf)
        if self.order is not None and self.order.counts[DESCENTS] >= LEARNING:
            counts[DESCENTS], limits = LEARNING, self.order.limits  # learned once
        return pack(
            PressOrder(
                best=order.copy(), kept=order.copy(), order=order, ends=ends, costs=packed, joints=np.zeros(n),
                sums=pack(wait_sums(n, int(costs.ptr[n]))), look=np.ones(KINDS, dtype=np.int64),
                limits=limits, samples=np.zeros((KINDS, SAMPLES)), noted=np.zeros(KINDS, dtype=np.int64),
                counts=counts, values=np.full(VALUES, np.inf),
            )
        )  # fmt: skip

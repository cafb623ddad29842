"""The only press's least changeovers as an assignment: an order of lots patched from it, and the changeovers that no
plan cheaper than a known one can have.

Why: on one press the assignment is often the cheapest order but for cycles that the press cannot begin. Cycles patched
together two by two, each time where that costs least (Karp, SIAM J. Computing 8(4) 1979; from memory), make an order to
begin from; and a changeover whose reduced cost is more than what lies between the assignment and a known plan is in no
plan cheaper than that, so that an exact solver need not look at it.
"""

import numpy as np
from ortools.graph.python.linear_sum_assignment import SimpleLinearSumAssignment

from planner.schedule.bounds.changeovers import Changeovers
from planner.schedule.bounds.work import production_cost, second_cost
from planner.schedule.instance import Bools, Instance, Ints

SCALE = 10_000
FAR = 10**12
MOST_LOTS = 1_000


class OnePress:
    """Of J lots; with index J: before the first and after the last. follows (J + 1): what comes behind each, at the
    least. value: money of that, with shots and fixed cost."""

    def __init__(self, inst: Instance, least: Changeovers) -> None:
        self.inst = inst
        run = inst.lot_run
        money = least.money(inst, second_cost(inst))[0]
        needed = least.needed[0]
        n = run.size
        cost = np.zeros((n + 1, n + 1))
        cost[:n, :n] = np.where(needed[np.ix_(run, run)], money[np.ix_(run, run)], 0.0)
        cost[:n, :n][run[:, None] == run[None, :]] = 0.0
        cost[n, :n] = np.where(needed[-1, run], money[-1, run], 0.0)
        self.cost: Ints = np.floor(np.minimum(cost, FAR / (4 * SCALE * (n + 1))) * SCALE).astype(np.int64)
        np.fill_diagonal(self.cost, FAR)
        self.follows = self._assigned()
        n_all = np.arange(n + 1)
        whole = int(self.cost[n_all, self.follows].sum()) if self.follows.size else 0
        self.value = inst.fixed_cost + production_cost(inst) + whole / SCALE

    def _assigned(self) -> Ints:
        solver = SimpleLinearSumAssignment()
        left, right = np.nonzero(self.cost < FAR)
        solver.add_arcs_with_cost(left, right, self.cost[left, right])
        if solver.solve() != solver.OPTIMAL:
            return np.zeros(0, dtype=np.int64)
        return np.array([solver.right_mate(i) for i in range(self.cost.shape[0])], dtype=np.int64)

    def order(self) -> list[int] | None:
        """All lots in one row; None where the assignment has no solution."""
        if not self.follows.size:
            return None
        follows, cost = self.follows.copy(), self.cost
        all_of = np.arange(follows.size)
        cycle = _cycles(follows)
        while (number := int(cycle.max())) > 0:
            # the smallest cycle joins whichever other one it costs least to join
            sizes = np.bincount(cycle, minlength=number + 1)
            mine = np.flatnonzero(cycle == int(sizes.argmin()))
            others = np.setdiff1d(all_of, mine)
            here = cost[mine, follows[mine]]
            dearer = cost[np.ix_(mine, follows[others])] + cost[np.ix_(others, follows[mine])].T
            dearer = dearer - here[:, None] - cost[others, follows[others]][None, :]
            i, j = np.unravel_index(int(dearer.argmin()), dearer.shape)
            a, b = int(mine[i]), int(others[j])
            follows[a], follows[b] = follows[b], follows[a]
            cycle = _cycles(follows)
        n = follows.size - 1
        order, at = [], int(follows[n])
        while at != n:
            order.append(at)
            at = int(follows[at])
        return order

    def needless(self, cost: float) -> Bools:
        """(J + 1, J) changeovers in no plan that costs less than `cost`, by what comes before."""
        n = self.follows.size - 1
        if n < 0:
            return np.zeros((self.cost.shape[0], self.cost.shape[0] - 1), dtype=np.bool_)
        mine = self.cost[np.arange(n + 1), self.follows]
        # potentials: shortest ways along what another successor would cost more
        worth = np.zeros(n + 1, dtype=np.int64)
        dearer = self.cost - mine[:, None]
        for _ in range(n + 1):
            lower = np.minimum(worth, (worth[self.follows][:, None] + dearer).min(axis=0))
            if (lower == worth).all():
                break
            worth = lower
        reduced = dearer + worth[self.follows][:, None] - worth[None, :]
        out: Bools = reduced[:, :n] > max(0.0, cost - self.value) * SCALE + 1.0
        return out


def _cycles(follows: Ints) -> Ints:
    """The number of the cycle that each belongs to, from 0."""
    number = np.full(follows.size, -1, dtype=np.int64)
    count = 0
    for first in range(follows.size):
        at = first
        if number[at] >= 0:
            continue
        while number[at] < 0:
            number[at] = count
            at = int(follows[at])
        count += 1
    return number

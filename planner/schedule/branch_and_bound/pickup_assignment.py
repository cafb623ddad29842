"""Which batches leave with which pick-up where the presses are settled: the cheapest choice that could be carried out.

A tree over reasons: batches that cannot all leave with a pick-up (`joint_feasibility.py`, cut down to the dearest that
cannot) are a reason why one of them leaves later; branch by which. Reasons are kept and tried first on the next order
of runs.

Why: XS, seeds 4, 26 and 39: 216, 16 and 6 leaves were left open, none is now; seed 16: the plan of 6,703.83 that every
walk missed (6,776.49) is an order of service found here. Questions that 500 steps do not settle are gone into longer:
without it seed 26 stays open.
"""

from collections.abc import Callable
from typing import Any

import numpy as np

from planner.schedule.branch_and_bound.joint_feasibility import (
    FEASIBLE,
    INFEASIBLE,
    MOST_JOBS,
    STEPS,
    UNDECIDED,
    Memory,
    Question,
    awaited,
    jointly_feasible,
)
from planner.schedule.branch_and_bound.records import BenchHours
from planner.schedule.instance import Floats, Instance, Ints
from planner.schedule.packed import pack
from planner.schedule.timing import Timing

QUICK, LONG, PIECES = (500, 1 << 10), (25_000, 1 << 16), 4
"""Jobs put in place before it is left open whether batches can leave together, and sets of them kept in mind: of all
that should; then of those that wait longest for their parts, one more at a time, in so many pieces: between two of them
it is seen whether to stop."""
MOST_ASKED, MOST_LONGER = 400, 12
"""Questions of that kind for one order of runs, and those of them that are gone into longer."""
MOST_CHOICES, STEPS_A_CHOICE = 20_000, 20
"""Choices of pick-ups looked at for one order of runs, some seconds: reasons that are known already ask nothing. What
one of them counts as beside jobs put in place."""
KEPT = 24
"""Reasons tried first."""

_JOINTLY_FEASIBLE: Any = jointly_feasible
_AWAITED: Any = awaited


class PickupAssignment:
    """penalty (B + 1, K + 1): see `deadlines.Needs`. timing: of the presses as they are settled. late: whether to
    give up. `spent`: jobs put in place at the most, all in all."""

    def __init__(
        self,
        inst: Instance,
        packed: Instance,
        timing: Timing,
        penalty: Floats,
        hours: BenchHours,
        late: Callable[[], bool] = lambda: False,
    ) -> None:
        self.inst, self.timing, self.penalty = inst, timing, penalty
        self.late = late
        self.pickups = penalty.shape[1] - 1
        ptr, goods, quantities = _job_needs(inst)
        jobs, batches = min(MOST_JOBS, inst.job_work.size), inst.batch_work.size
        most = int(goods.max(initial=-1)) + 1
        self.inside = np.zeros(batches, dtype=np.int64)
        self.order = np.arange(batches, dtype=np.int64)
        self.found, self.reached = np.zeros(batches, dtype=np.int64), np.zeros(1, dtype=np.int64)
        question = Question(
            hours=hours, need_ptr=ptr, goods=goods, quantities=quantities, inside=self.inside, order=self.order,
            found=self.found, reached=self.reached, steps=np.zeros((STEPS, jobs), dtype=np.int64),
            stack=np.zeros((jobs + 1, 2), dtype=np.int64), at=np.zeros((jobs + 1, 3)),
            rest=np.zeros((jobs + 1, most), dtype=np.int64),
        )  # fmt: skip
        self.packed, self.question = packed, pack(question)
        self.quick, self.long = (
            (most, pack(Memory(np.zeros(size, dtype=np.int64), np.zeros(size)))) for most, size in (QUICK, LONG)
        )
        self.until = np.zeros(batches, dtype=np.int64)
        self.kept: list[tuple[int, list[int]]] = []
        self.reasons: list[tuple[int, list[int]]] = []
        self.answers: dict[tuple[int, bool, tuple[int, ...]], tuple[int, list[int]]] = {}
        self.best: Ints | None = None
        self.asked, self.longer, self.choices, self.least, self.spent = 0, 0, 0, 0.0, 0

    def cheapest(self, sent: Ints, order: Ints, most: float) -> tuple[float, Ints | None]:
        """The least that lateness can bring to the objective, and an order of service that may do it; no order where
        that is `most` or more, or where it was given up (then it is 0). sent (B): first pick-up of each batch alone.
        """
        self.order[:] = order
        self.asked, self.answers = 0, {}
        self.longer = self.choices = 0
        self.least, self.best = most, None
        self.reasons = [(k, core) for k, core in self.kept if (sent[core] <= k).all() and self._apart(k, core)]
        leaves = np.array([self._as_late(b, int(k), self.pickups) for b, k in enumerate(sent)])
        self._go(leaves, np.full(sent.size, self.pickups))
        self.kept = self.reasons[-KEPT:] + self.kept[: max(0, KEPT - len(self.reasons))]
        return (0.0, None) if self._given_up() else (self.least, self.best)

    def _given_up(self) -> bool:
        if self.choices < MOST_CHOICES and self.late():
            self.choices = MOST_CHOICES
        return self.asked >= MOST_ASKED or self.choices >= MOST_CHOICES

    def _as_late(self, b: int, k: int, most: int) -> int:
        """The last pick-up, at most `most`, at which a batch costs no more than with pick-up k, nor all together."""
        while k < most and (self.penalty[[b, -1], k + 1] <= self.penalty[[b, -1], k]).all():
            k += 1
        return k

    def _cost(self, leaves: Ints) -> float:
        each = self.penalty[np.arange(leaves.size), leaves].sum()
        return float(each + self.penalty[leaves.size, leaves.max(initial=0)])

    def _go(self, leaves: Ints, latest: Ints) -> None:
        """Batch b leaves with pick-up leaves[b] or sooner; later than latest[b] is gone through elsewhere."""
        self.choices += 1
        self.spent += STEPS_A_CHOICE
        cost = self._cost(leaves)
        if cost >= self.least or self._given_up():
            return
        reason = next((r for r in self.reasons if (leaves[r[1]] <= r[0]).all()), None)
        if reason is None:
            reason = self._reason(leaves)
        if reason is None:
            if not self._given_up():
                self.least, self.best = cost, self._served(leaves)
            return
        k, core = reason
        latest = latest.copy()
        for b in sorted(core, key=lambda b: float(self.penalty[b, k + 1] - self.penalty[b, leaves[b]])):
            if latest[b] > k:
                later = leaves.copy()
                later[b] = self._as_late(b, k + 1, int(latest[b]))
                self._go(later, latest)
            latest[b] = min(latest[b], k)

    def _reason(self, leaves: Ints) -> tuple[int, list[int]] | None:
        """A pick-up that cannot take all it should, and batches of which one has to leave later."""
        for k in np.unique(leaves[leaves < self.pickups]).tolist():
            said, core = self.ask(k, np.flatnonzero(leaves <= k).tolist())
            if said != INFEASIBLE:
                continue
            for b in sorted(core, key=lambda b: float(self.penalty[b, k + 1] - self.penalty[b, leaves[b]])):
                fewer = [other for other in core if other != b]
                if self._apart(k, fewer):
                    core = fewer
            self.reasons.append((k, core))
            return k, core
        return None

    def _apart(self, k: int, batches: list[int]) -> bool:
        return self.ask(k, batches, quickly=True)[0] == INFEASIBLE

    def ask(self, k: int, batches: list[int], quickly: bool = False) -> tuple[int, list[int]]:
        """FEASIBLE and the order in which batches are packed that leave with pick-up k; INFEASIBLE and some of them
        that cannot; UNDECIDED."""
        key = k, quickly, tuple(batches)
        if key not in self.answers:
            self.asked += 1
            said, core = self.said(k, batches, *self.quick), batches
            if said == UNDECIDED and not quickly and self.longer < MOST_LONGER:
                self.longer += 1
                said, core = self.said_of_some(k, batches)
            self.answers[key] = said, core if said == INFEASIBLE else self.found[self.found >= 0].tolist()
        return self.answers[key]

    def said_of_some(self, k: int, batches: list[int]) -> tuple[int, list[int]]:
        """The same of ever more of them: those first that wait longest for their parts."""
        _AWAITED(self.packed, self.timing, self.question, self.until)
        longest = sorted(batches, key=lambda b: -int(self.until[b]))
        for number in range(2, len(longest) + 1):
            said = self.said(k, longest[:number], *self.quick)
            pieces = 0
            while said == UNDECIDED and pieces < PIECES and not (pieces and self.reached[0] < 0) and not self.late():
                said = self.said(k, longest[:number], *self.long, anew=pieces == 0)
                pieces += 1
            if said != FEASIBLE:
                return said, longest[:number]
        return FEASIBLE, batches

    def said(self, k: int, batches: list[int], most: int, memory: Memory, anew: bool = True) -> int:
        """Whether they can leave with pick-up k, in at most so many steps; `anew`: else goes on with the question."""
        self.spent += most
        if anew:
            self.reached[0] = -1
        self.inside[:] = 0
        self.inside[batches] = 1
        until = int(self.inst.pickup_t[k])
        return int(_JOINTLY_FEASIBLE(self.packed, self.timing, self.question, memory, until, most))

    def _served(self, leaves: Ints) -> Ints:
        """First what leaves first, as it is packed; then the others as they were served last."""
        order: dict[int, None] = {}
        for k in np.unique(leaves[leaves < self.pickups]).tolist():
            order |= dict.fromkeys(self.ask(k, np.flatnonzero(leaves <= k).tolist())[1])
        order |= dict.fromkeys(self.order.tolist())
        return np.array(list(order), dtype=np.int64)


def _job_needs(inst: Instance) -> tuple[Ints, Ints, Ints]:
    """(A + 1) where each assembly job's needs stand, the goods and quantities: goods of one run that all jobs take
    alike count once, what is there from the start not at all."""
    table = np.zeros((inst.good_run.size, inst.job_work.size), dtype=np.int64)
    for job in range(inst.job_work.size):
        for i in range(inst.job_need_ptr[job], inst.job_need_ptr[job + 1]):
            table[inst.job_good[i], job] += inst.job_qty[i]
    kinds: dict[tuple[int, ...], int] = {}
    for g in range(inst.good_run.size):
        if inst.good_run[g] < 0:
            steps = range(inst.piece_ptr[g], inst.piece_ptr[g + 1])
            if min((inst.piece_t[s] for s in steps if inst.piece_count[s] >= table[g].sum()), default=1) <= 0:
                continue
            kinds[-1 - g, *table[g].tolist()] = g
        elif table[g].any():
            facts = inst.good_run[g], inst.good_stock[g], inst.good_need[g], inst.good_count_shots[g]
            kinds[(*(int(fact) for fact in facts), int(inst.good_rest_s[g]), *table[g].tolist())] = g
    goods = sorted(kinds.values())
    ptr, needs = [0], []
    for job in range(inst.job_work.size):
        needs += [(g, int(table[g, job])) for g in goods if table[g, job] > 0]
        ptr.append(len(needs))
    rows = np.array(needs, dtype=np.int64).reshape(-1, 2)
    return np.array(ptr, dtype=np.int64), np.ascontiguousarray(rows[:, 0]), np.ascontiguousarray(rows[:, 1])


def warm_pickup_assignment(inst: Instance, packed: Instance, timing: Timing) -> None:
    """Build what is compiled, or load it; `timing` holds a plan."""
    service = PickupAssignment(
        inst, packed, timing, np.zeros((2, 2)), pack(BenchHours(np.ones((2, 1, 3)), np.ones((2, 3))))
    )
    service.said_of_some(0, [0])
    service.said(0, [0], *service.quick)  # fewer than two are not asked about in pieces

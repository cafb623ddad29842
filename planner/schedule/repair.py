"""Repair of an order that cannot be carried out: lots put elsewhere, or put off, as long as that gets further.

A lot gets stuck where no changeover fits any more, or where a material of which no more comes has gone into purges and
restarts. The first wants lots elsewhere; the second mostly wants one put off to an opening in which it can end, so that
it is not cut by a closing and started up again (R20).
"""

from random import Random

import numpy as np

from planner.control import Control
from planner.schedule import timing as w
from planner.schedule.instance import Instance, packed_instance
from planner.schedule.pauses import openings, release_of
from planner.schedule.solution import Solution, allowed, objective_of
from planner.schedule.timing import timing_for

TRIES_A_ROUND = 300
"""Orders repaired step by step, of a search by rounds."""
AT_LEAST = 300
"""The same of a search by time, also where that is over already: some hundredths of a second where runs are few."""
AFRESH = 60
"""Steps without getting further after which repair begins from another order."""
PUT_OFF = 0.4
"""Share of steps that put a lot off, or let it begin as soon as it can again."""
SIDEWAYS = 0.02
"""Share of steps kept though they lead less far."""


def repaired(
    inst: Instance, control: Control, rounds: int | None, begins: list[Solution], seed: int
) -> tuple[Solution | None, float]:
    """A plan that can be carried out, with its objective, found from one of these orders on, and the best of those that
    the first steps find; None if none was found in so many rounds, or while the control leaves time."""
    repair = _Repair(inst, begins, seed)
    tries = AT_LEAST if rounds is None else TRIES_A_ROUND * max(1, rounds)
    best: Solution | None = None
    value = np.inf
    while not control.should_stop():
        if repair.value < value:
            best, value = repair.plan, repair.value
        if repair.value < np.inf:
            repair.begin_anew()
        left = control.seconds_left() if rounds is None else None
        over = repair.done >= tries and (left is None or left <= 0)
        if over or (best is not None and repair.done >= AT_LEAST):
            break
        repair.step()
    return best, value


class _Repair:
    """plan: gone on from; value: its objective, inf as long as it cannot be carried out; got: how far it leads."""

    def __init__(self, inst: Instance, begins: list[Solution], seed: int) -> None:
        self.inst, self.begins, self.timing = inst, begins, timing_for(inst)
        self.draw = Random(seed)
        self.pinned = int(inst.pinned.sum())
        self.release = release_of(inst, begins[0])
        self.begun = self.release.copy()
        self.arrays = packed_instance(inst._replace(lot_release=self.release))  # which share `release`
        self.ends = inst.supply_kg[inst.supply_ptr[1:] - 1]
        self.done = self.still = 0
        self.plan, self.value, self.got = begins[0], np.inf, (-np.inf, -np.inf)
        self._begin_from(begins[0])

    def step(self) -> None:
        """Change the plan in one place, and go on from that if it leads as far."""
        self.done += 1
        other, before = self.plan.copy(), self.release.copy()
        if self.draw.random() < PUT_OFF or self.pinned == self.inst.lot_run.size:
            changed = self._put_off()
        else:
            changed = self._put_elsewhere(other)
        if not changed:
            return
        value, got = self._timed(other)
        self.still = 0 if got > self.got else self.still + 1
        if got >= self.got or self.draw.random() < SIDEWAYS:
            self.plan, self.value, self.got = other, value, got
        else:
            self.release[:] = before
            self._timed(self.plan)
        if self.value < np.inf:
            self.plan.release = self.release.copy() if self.release.any() else None
        elif self.still > AFRESH:
            self.begin_anew()

    def begin_anew(self) -> None:
        """From another order, or one of them shuffled."""
        self._begin_from(self.begins[self.done % len(self.begins)], self.done % 2 == 0)

    def _begin_from(self, begin: Solution, shuffled: bool = False) -> None:
        self.release[:] = self.begun
        plan = _complete(self.inst, begin, self.draw, shuffled)
        value, got = self._timed(plan)
        self.plan, self.value, self.got, self.still = plan, value, got, 0

    def _timed(self, plan: Solution) -> tuple[float, tuple[float, float]]:
        """The objective, and how far the plan leads: lots that could be timed, and kg (less than 0) that are wanting
        though no more comes."""
        value = objective_of(self.arrays, plan, self.timing)
        if value < np.inf:
            return value, (np.inf, 0.0)
        wanting = float(np.maximum(0.0, self.timing.used_kg - self.ends).sum())
        return value, (float(self.timing.presses[:, w.DONE].sum()), -wanting)

    def _put_off(self) -> bool:
        """One of the lots timed waits for one of the next openings, or no longer; whether anything changed. Of those
        put off already one is let go as often as another is put off."""
        waiting = np.flatnonzero(self.release)
        if waiting.size and self.draw.random() < 0.5:
            self.release[self.draw.choice(waiting.tolist())] = 0
            return True
        done = self.timing.presses[:, w.DONE].tolist()
        timed = [lot for row, number in zip(self.plan.lots(), done, strict=True) for lot in row[:number]]
        if not timed:
            return False
        lot = self.draw.choice(timed)
        later = openings(self.inst, self.timing, lot)
        if not later:
            return False
        self.release[lot] = self.draw.choice(later)
        return True

    def _put_elsewhere(self, plan: Solution) -> bool:
        """Take a lot out, mostly one of those at which a press is stuck, and put it in anywhere it fits; whether what
        comes of it keeps apart what must never meet."""
        inst, draw = self.inst, self.draw
        stuck = [
            int(plan.seq[p, self.timing.presses[p, w.DONE]])
            for p in range(plan.length.size)
            if self.timing.presses[p, w.DONE] < plan.length[p]
        ]
        free = [lot for lot in stuck if lot >= self.pinned]
        lot = draw.choice(free) if free and draw.random() < 0.5 else draw.randrange(self.pinned, inst.lot_run.size)
        rows = plan.lots()
        for row in rows:
            if lot in row:
                row.remove(lot)
        p = int(draw.choice(_fitting(inst, lot)))
        rows[p].insert(draw.randint(int(inst.pinned[p]), len(rows[p])), lot)
        plan.length[:] = 0
        for press, row in enumerate(rows):
            for each in row:
                plan.append(press, each)
        self.release[lot] = 0
        return allowed(inst, plan)


def _fitting(inst: Instance, lot: int) -> list[int]:
    fitting: list[int] = np.flatnonzero(inst.fits[:, inst.lot_run[lot]]).tolist()
    return fitting


def _complete(inst: Instance, begin: Solution, draw: Random, shuffled: bool) -> Solution:
    """A plan with all lots in it, those it has not where they fit; `shuffled`: those not pinned in another order."""
    placed = {lot for lots in begin.lots() for lot in lots}
    pinned = int(inst.pinned.sum())
    solution = Solution.empty(inst)
    solution.order = begin.order.copy()
    first = 0
    for p, number in enumerate(inst.pinned):
        for lot in range(first, first + int(number)):
            solution.append(p, lot)
        first += int(number)
    rows = [(p, lot) for p, lots in enumerate(begin.lots()) for lot in lots if lot >= pinned]
    rows += [(draw.choice(_fitting(inst, lot)), lot) for lot in range(pinned, inst.lot_run.size) if lot not in placed]
    if shuffled:
        draw.shuffle(rows)
    for p, lot in rows:
        solution.append(p, lot)
    return solution

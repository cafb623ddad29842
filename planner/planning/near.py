"""Planning again near to what people were told: each run moved and each day a tier leaves later has its price.

A small search of its own over the exact evaluator: it starts from the order told, and a step is taken only for what it
saves beyond what it costs to go back on one's word.
"""

import random
from dataclasses import dataclass
from math import exp

import numpy as np

from planner.campaign.order_of_work import Told
from planner.control import Control
from planner.schedule import timing as w
from planner.schedule.encode import Names
from planner.schedule.instance import Instance, Ints, packed_instance
from planner.schedule.solution import Solution, allowed, objective_of
from planner.schedule.timing import timing_for

STEPS = 4000
WARMTH = 0.001
"""Temperature at the beginning, as a share of the first plan's cost; it falls a thousandfold."""


@dataclass(frozen=True)
class Near:
    """An order of work and what it costs, the price of what was moved apart."""

    solution: Solution
    objective: float
    moving: float


class Price:
    """What it costs to move from an order told."""

    def __init__(self, inst: Instance, names: Names, told_order: Solution, told: Told) -> None:
        self.a_run, self.a_date = told.moving_a_run, told.moving_a_date
        self.pickup_day = inst.pickup_day
        self.before = _before(told_order)
        self.tiers: list[tuple[Ints, int]] = []
        for tier, day in told.days.items():
            own = np.array([n for n, b in enumerate(names.batches) if b.tier == tier], dtype=np.int64)
            if own.size:
                self.tiers.append((own, day.toordinal()))

    def runs(self, solution: Solution) -> float:
        """Price of runs on another press or after another run."""
        if not self.a_run:
            return 0.0
        now = _before(solution)
        return self.a_run * sum(now[lot] != place for lot, place in self.before.items())

    def dates(self, pickups: Ints) -> float:
        """Price of tiers that leave later than told."""
        if not self.a_date:
            return 0.0
        leaves = self.pickup_day[pickups]
        return self.a_date * sum(max(0, int(leaves[own].max()) - day) for own, day in self.tiers)


def _before(solution: Solution) -> dict[int, tuple[int, int]]:
    """Lot -> its press and the lot before it (-1: the first)."""
    found = {}
    for p, lots in enumerate(solution.lots()):
        last = -1
        for lot in lots:
            found[lot] = (p, last)
            last = lot
    return found


def near(
    inst: Instance, names: Names, start: Solution, told: Told, seed: int, control: Control, steps: int = STEPS
) -> Near | None:
    """The best order found near `start`, counting the price of moving; None if the start cannot be carried out."""
    arrays, timing = packed_instance(inst), timing_for(inst)
    price = Price(inst, names, start, told)

    def value(solution: Solution) -> tuple[float, float]:
        objective = objective_of(arrays, solution, timing)
        if objective == float("inf"):
            return objective, 0.0
        return objective, price.runs(solution) + price.dates(timing.batches[:, w.PICKUP])

    if not allowed(inst, start):
        return None
    objective, moving = value(start)
    if objective == float("inf"):
        return None
    chance = random.Random(seed)
    here, here_value = start.copy(), objective + moving
    best = Near(start.copy(), objective, moving)
    hot = WARMTH * max(1e-6, abs(objective))
    for step in range(steps):
        if control.should_stop() or ((left := control.seconds_left()) is not None and left <= 0):
            break
        trial = _step(inst, here, chance)
        if trial is None or not allowed(inst, trial):
            continue
        objective, moving = value(trial)
        worse = objective + moving - here_value
        if worse <= 0 or (worse < float("inf") and chance.random() < exp(-worse / (hot * 0.001 ** (step / steps)))):
            here, here_value = trial, objective + moving
            if here_value < best.objective + best.moving - 1e-9:
                best = Near(trial, objective, moving)
    return best


def _step(inst: Instance, solution: Solution, chance: random.Random) -> Solution | None:
    """One lot elsewhere, or one pack batch served elsewhere; None if nothing can be moved."""
    trial = solution.copy()
    if chance.random() < 0.3 and trial.order.size > 1:
        order = trial.order.tolist()
        batch = order.pop(chance.randrange(len(order)))
        order.insert(chance.randrange(len(order) + 1), batch)
        trial.order[:] = order
        return trial
    lots = trial.lots()
    free = [(p, n) for p, own in enumerate(lots) for n in range(int(inst.pinned[p]), len(own))]
    if not free:
        return None
    p, n = chance.choice(free)
    lot = lots[p].pop(n)
    able = [q for q in range(len(lots)) if inst.fits[q, inst.lot_run[lot]]]
    q = chance.choice(able)
    lots[q].insert(chance.randint(int(inst.pinned[q]), len(lots[q])), lot)
    for press in {p, q}:
        trial.seq[press, : len(lots[press])] = lots[press]
        trial.length[press] = len(lots[press])
    return trial

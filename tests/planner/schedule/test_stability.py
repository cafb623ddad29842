"""Going back on what people were told has its price: counted as told, and weighed by the one search."""

import random
from dataclasses import replace
from datetime import date
from itertools import permutations

import numpy as np
import pytest

from benchmarks.generator import small, tiny
from planner.campaign.order_of_work import Told
from planner.control import Unhurried
from planner.planning.make import found_near
from planner.schedule import timing as w
from planner.schedule.encode import Names, compile_campaign
from planner.schedule.encode.announced import with_announced
from planner.schedule.instance import Ints, packed_instance
from planner.schedule.solution import Solution, allowed, objective_of, waiting
from planner.schedule.timing import timing_for
from tests.planner.schedule.plain.compared import random_plan


def price(names: Names, order: Solution, told: Told, plan: Solution, leaves: Ints) -> float:
    """Counted anew. leaves (B): day of each batch."""

    def places(one: Solution) -> dict[int, tuple[int, int]]:
        return {lot: (p, own[n - 1] if n else -1) for p, own in enumerate(one.lots()) for n, lot in enumerate(own)}

    before, now = places(order), places(plan)
    days = 0
    for tier, day in told.days.items():
        last = max((int(d) for d, b in zip(leaves, names.batches, strict=True) if b.tier == tier), default=0)
        days += max(0, last - day.toordinal())
    return told.moving_a_run * sum(now[lot] != place for lot, place in before.items()) + told.moving_a_date * days


def announced(names: Names, leaves: Ints, draw: random.Random) -> Told:
    """Some tiers told a day some days before or after that on which they left."""
    days = {}
    for tier in names.campaign.tiers:
        last = max((int(d) for d, b in zip(leaves, names.batches, strict=True) if b.tier == tier), default=0)
        if last and draw.random() < 0.7:
            days[tier] = date.fromordinal(last + draw.randint(-9, 3))
    return Told(moving_a_run=draw.choice([0.0, 3.0, 50.0]), moving_a_date=draw.choice([0.0, 7.0]), days=days)


def test_the_price_is_counted_as_it_is_told() -> None:
    """Random plans against random announcements: the objective is the plan's own and the price beside it."""
    looked = moved = late = 0
    for seed in range(25):
        inst, names = compile_campaign(small(seed))
        draw = random.Random(seed)
        order, plan = random_plan(inst, draw), random_plan(inst, draw)
        timing = timing_for(inst)
        plain = objective_of(packed_instance(inst), plan, timing)
        if plain == np.inf:
            continue
        leaves = inst.pickup_day[timing.batches[:, w.PICKUP]]
        told = announced(names, leaves, draw)
        value = objective_of(packed_instance(with_announced(inst, names, order, told)), plan, timing)
        expected = price(names, order, told, plan, leaves)
        assert value == pytest.approx(plain + expected, rel=1e-12), seed
        looked += 1
        moved += timing.totals[w.MOVED_RUNS] > 0
        late += timing.totals[w.MOVED_DAYS] > 0
    assert looked > 12
    assert moved > 5
    assert late > 3


def test_what_is_found_is_the_best_of_all_orders_with_its_price() -> None:
    """On one press with a few lots: every order tried, each with what moving to it costs; and moving is worth it in
    some of them, and not in others."""
    tried = kept = 0
    for seed in range(400):
        inst, names = compile_campaign(tiny(seed))
        lots = inst.lot_run.size
        if inst.pinned.size > 1 or not 3 <= lots <= 4 or inst.batch_work.size > 2 or inst.pinned.any():
            continue
        draw = random.Random(seed)
        order = random_plan(inst, draw)
        if not allowed(inst, order) or objective_of(packed_instance(inst), order, timing_for(inst)) == np.inf:
            continue
        told = Told(moving_a_run=draw.choice([0.5, 5.0, 500.0]))
        ours = with_announced(inst, names, order, told)
        packed, timing = packed_instance(ours), timing_for(ours)
        best = min(
            objective_of(packed, replace(order, seq=np.array([run]), order=np.array(served)), timing)
            for run in permutations(range(lots))
            for served in permutations(range(inst.batch_work.size))
        )
        planning = names.campaign.planning.model_copy(update={"rounds": 1})
        quick = replace(names, campaign=names.campaign.model_copy(update={"planning": planning}))
        found = found_near(inst, quick, order, told, Unhurried()).solution
        value = objective_of(packed_instance(waiting(ours, found)), found, timing)
        assert value <= best + 1e-6, seed  # waiting on purpose may be better still
        tried += 1
        kept += found.lots() == order.lots()
        if tried == 8:
            break
    assert tried == 8
    assert 0 < kept < 8

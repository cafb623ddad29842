"""Bases with inserts, moulders' charges and wishes: the compiled evaluator, its plain twin, and every plan tried."""

import random
from collections import Counter

import numpy as np
import pytest

from benchmarks.generator import small
from benchmarks.small_campaigns import document
from planner.campaign import Campaign
from planner.errors import CampaignProblems
from planner.reading import read
from planner.schedule import timing as w
from planner.schedule.encode import compile_campaign
from planner.schedule.instance import Instance
from planner.schedule.timing import timing_for
from tests.planner.schedule.brute_force import brute_force
from tests.planner.schedule.few_plans import drawn, found_as_good
from tests.planner.schedule.plain.compared import evaluated_twice
from tests.support.sampled import sampled
from tests.support.ways import with_ways

SMALL = (1, 2, 6, 7, 8, 9, 11, 13, 14, 18, 19, 20, 21, 22, 23, 25, 26, 30, 33, 34, 37, 39, 41, 44)
"""Seeds of campaigns small enough to try every plan (see `few_plans`)."""


@pytest.mark.parametrize("block", sampled(range(3), 3))
def test_evaluator_equals_its_plain_twin(block: int) -> None:
    seen: Counter[str] = Counter()
    for seed in range(block * 20, (block + 1) * 20):
        inst = mounting_charged(compile_campaign(with_ways(small(seed), seed))[0], seed)
        timing = timing_for(inst)
        for plain in evaluated_twice(inst, timing, seed, 3):
            seen["waits for a wish"] += int((timing.lots[:, w.WHY] == w.BY_WISH).any())
            seen["breaks one"] += plain.broken > 0
            seen["keeps all"] += bool(inst.wishing) and plain.broken == 0
            seen["inserts"] += bool(inst.tool_base.size)
            seen["charged"] += bool(inst.charging)
    assert min(seen[what] for what in ("waits for a wish", "breaks one", "keeps all", "inserts", "charged")) > 1, seen


def mounting_charged(inst: Instance, seed: int) -> Instance:
    """With a price for mounting a tool on top of what a changeover costs, in every second instance that charges any:
    no price list has one, search and bounds know it."""
    if not inst.charging or seed % 2:
        return inst
    return inst._replace(changeover_charge=inst.changeover_charge + np.array([0.0, 10.0 + seed % 90]))


def tiny(seed: int) -> Campaign | None:
    """A few runs; None where the draw contradicts itself."""
    draw = random.Random(f"tiny ways {seed}")
    data = document(draw, draw.randint(2, 4), draw.randint(1, 2), draw.randint(1, 3), draw.choice([20, 60]))
    for tool in data["tools"].values():
        tool.pop("smallest_lot_shots", None)
    try:
        return with_ways(read(data), seed)
    except CampaignProblems:
        return None


def test_small_campaigns_are_planned_as_well_as_every_plan_allows() -> None:
    """With wishes the search ends at the best of all plans; without them it is proven besides. Bounds hold."""
    seen: Counter[str] = Counter()
    instances = drawn(tiny, lambda inst: bool(inst.wishing or inst.charging or inst.tool_base.size), sampled(SMALL, 2))
    assert len(instances) == len(sampled(SMALL, 2))
    for seed, plain in instances:
        inst = mounting_charged(plain, seed)
        best = brute_force(inst)
        found = found_as_good(seed, inst, best)
        if found is None:
            continue
        assert inst.wishing or found.ended == "proven", seed
        seen["wishes"] += inst.wishing
        seen["kept"] += bool(inst.wishing) and best < inst.wish_cost / 2
        seen["charges"] += inst.charging
        seen["bases"] += bool(inst.tool_base.size)
    assert min(seen[what] for what in ("wishes", "kept", "charges", "bases")) > 2, seen

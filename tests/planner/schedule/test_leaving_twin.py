"""Several carriers, pallets and waves: the compiled evaluator, its plain twin, and every plan tried."""

import random
from collections import Counter

import pytest

from benchmarks.generator import small
from benchmarks.small_campaigns import document
from planner.campaign import Campaign
from planner.errors import CampaignProblems
from planner.reading import read
from planner.schedule.encode import compile_campaign
from planner.schedule.timing import timing_for
from tests.planner.schedule.brute_force import brute_force
from tests.planner.schedule.few_plans import drawn, found_as_good
from tests.planner.schedule.plain.compared import evaluated_twice
from tests.support.leaving import with_leaving
from tests.support.sampled import sampled

SMALL = (6, 7, 9, 12, 13, 15, 16, 17, 19, 20, 21, 22, 24, 27, 28, 33, 34, 36)
"""Seeds of campaigns small enough to try every plan (see `few_plans`)."""


@pytest.mark.parametrize("block", sampled(range(3), 3))
def test_evaluator_equals_its_plain_twin(block: int) -> None:
    seen: Counter[str] = Counter()
    for seed in range(block * 20, (block + 1) * 20):
        inst, _ = compile_campaign(with_leaving(small(seed), seed))
        timing = timing_for(inst)
        for plain in evaluated_twice(inst, timing, seed, 3):
            used = {int(inst.pickup_carrier[k]) for k in plain.pickups.values()}
            seen["several carriers"] += len(used) > 1
            seen["pallets"] += bool(inst.pallet_parcels[list(used)].any())
            seen["waves"] += inst.waves > 1
    assert min(seen[what] for what in ("several carriers", "pallets", "waves")) > 3, seen


def tiny(seed: int) -> Campaign | None:
    """A few runs; None where the draw contradicts itself."""
    draw = random.Random(f"tiny leaving {seed}")
    data = document(draw, draw.randint(2, 4), draw.randint(1, 2), draw.randint(2, 3), draw.choice([20, 60]))
    for tool in data["tools"].values():
        tool.pop("smallest_lot_shots", None)
    try:
        return read(with_leaving(read(data), seed).model_dump(mode="json", by_alias=True, exclude_unset=True))
    except CampaignProblems:
        return None


def test_small_campaigns_are_planned_as_well_as_every_plan_allows() -> None:
    """The search ends at the best of all plans, and bounds hold."""
    seen: Counter[str] = Counter()
    instances = drawn(tiny, lambda inst: bool(inst.leaving), SMALL)
    assert len(instances) == len(SMALL)
    for seed, inst in instances:
        if found_as_good(seed, inst, brute_force(inst)) is None:
            continue
        seen["carriers"] += inst.carrier_parcels.size > 1
        seen["waves"] += inst.waves > 1
        seen["pallets"] += bool(inst.pallets_least)
    assert min(seen[what] for what in ("carriers", "waves", "pallets")) > 2, seen

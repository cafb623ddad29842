"""Dryers (R22, R23): the compiled evaluator and its plain twin agree on every plan, and proofs with trying them all."""

from collections import Counter

import pytest

from benchmarks.floor_campaigns import floor_campaign, floor_document
from planner.schedule import timing as w
from planner.schedule.encode import compile_campaign
from planner.schedule.instance import packed_instance
from planner.schedule.solution import objective_of
from planner.schedule.timing import timing_for
from tests.planner.schedule.few_plans import proven, small_instances
from tests.planner.schedule.plain.compared import evaluated_twice

CAMPAIGNS_A_BLOCK = 40
CHARGED = (121, 152)
"""Seeds in which the resin that comes first of all is cleaned out of a dryer, and setters cost something."""
SEEDS = (1221, 1232, 1269, 1382, 1437, 1450, 1453, 1455, 1479)


@pytest.mark.parametrize("block", range(2))
def test_evaluator_equals_its_plain_twin_where_dryers_are_shared(block: int) -> None:
    """Times to the second, money to the cent; waits for dryers and cleanings are among them."""
    seen: Counter[str] = Counter()
    for seed in (*range(block * CAMPAIGNS_A_BLOCK, (block + 1) * CAMPAIGNS_A_BLOCK), *CHARGED):
        campaign = floor_campaign(seed, dryers=True)
        if campaign is None:
            continue
        inst, _ = compile_campaign(campaign)
        if not inst.dryers:
            continue
        timing = timing_for(inst)
        for _ in evaluated_twice(inst, timing, seed, 2):
            seen["feasible"] += 1
            seen["waited"] += int((timing.lots[:, w.WHY] == w.BY_DRYER).sum())
            count = timing.dryers[0, w.DRAWS]
            had: dict[int, int] = {}
            for dryer, resin in timing.draws[:count, [w.DRYER, w.RESIN]].tolist():
                cleaned = had.get(dryer, resin) != resin
                seen["cleaned"] += cleaned
                seen["charged"] += cleaned and had[dryer] == 0 and inst.dryer_clean_cost > 0
                had[dryer] = resin
            seen["people"] += inst.there_start.size > 0
    assert seen["feasible"] >= CAMPAIGNS_A_BLOCK // 2
    assert min(seen["waited"], seen["cleaned"], seen["charged"], seen["people"]) > 0, seen


def test_proofs_and_bounds_hold_where_dryers_are_shared() -> None:
    """The branching ends proven at the twin's optimum, and the bound is not above it."""
    seen: Counter[str] = Counter()
    for seed, inst in small_instances(
        lambda seed: floor_document(seed, dryers=True), lambda inst: bool(inst.dryers), 60, SEEDS
    ):
        found = proven(seed, inst)
        if found is None:
            continue
        timing = timing_for(inst)
        objective_of(packed_instance(inst), found.best, timing)
        seen["campaigns"] += 1
        seen["waited"] += int((timing.lots[:, w.WHY] == w.BY_DRYER).any())
    assert seen["campaigns"] >= len(SEEDS) // 2, seen
    assert seen["waited"] > 0, seen

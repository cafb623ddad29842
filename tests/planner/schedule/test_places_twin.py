"""Other places (F9): the compiled evaluator and its plain twin agree on every plan, plans that are found are as good as
trying all of them, no bound is above any, and what is written holds before the auditor."""

from collections import Counter

import numpy as np
import pytest

from benchmarks.generator import small
from planner.control import Unhurried
from planner.planning.make import make_plan
from planner.schedule.encode import compile_campaign
from planner.schedule.timing import timing_for
from tests.planner.schedule.few_plans import equal_trying_every_plan
from tests.planner.schedule.plain.compared import evaluated_twice
from tests.support.places import elsewhere
from tests.support.sampled import sampled

SMALL = (25, 40, 41, 54)
"""Seeds of campaigns small enough to try every plan (see `few_plans`)."""

SMALL_WITH_BENCHES = (25, 40, 41, 117, 150)
"""The same with benches elsewhere; of the last two, benches between press and assembly."""


def test_evaluator_equals_its_plain_twin() -> None:
    """Times to the second, money to the cent; setters of both floors change presses over at once."""
    seen: Counter[str] = Counter()
    seeds = sampled(range(60), 3)
    for seed in seeds:
        campaign = elsewhere(small(seed), seed)
        if campaign is None:
            continue
        inst, _ = compile_campaign(campaign)
        timing = timing_for(inst)
        for _ in evaluated_twice(inst, timing, seed, 2):
            seen["feasible"] += 1
            seen["brought"] += inst.trip_leaves.size > 0
            seen["both"] += np.unique(inst.setter_first).size > 1
            seen["unlike"] += np.unique(inst.setter_cost_s).size > 1
            seen["there"] += bool((inst.good_moulded if inst.sent_out else np.zeros(1)).any())
    assert seen["feasible"] >= len(seeds) // 2, seen
    assert min(seen["brought"], seen["both"], seen["unlike"], seen["there"]) > 0, seen


def test_small_campaigns_equal_trying_every_plan() -> None:
    """The search ends at the twin's optimum, and no bound is above it."""
    tried = equal_trying_every_plan(lambda seed: elsewhere(small(seed), seed), lambda inst: inst.sent_out > 0, SMALL)
    assert len(tried) == len(SMALL)


def test_evaluator_equals_its_plain_twin_where_benches_stand_elsewhere() -> None:
    """Parts and units travel between places, from bench to bench, from assembly to packing."""
    seen: Counter[str] = Counter()
    seeds = sampled(range(40), 3)
    for seed in seeds:
        campaign = elsewhere(small(seed), seed, benches=True)
        if campaign is None:
            continue
        inst, _ = compile_campaign(campaign)
        for _ in evaluated_twice(inst, timing_for(inst), seed, 2):
            seen["feasible"] += 1
            if inst.carrying:
                to_packing = inst.carry_way[inst.finishing, inst.finishing + 1] >= 0
                seen["to packing" if to_packing else "before packing"] += 1
                seen["between benches"] += bool((inst.carry_way[: inst.finishing] >= 0).any())
    assert seen["feasible"] >= 3 * len(seeds) // 4, seen
    assert min(seen["to packing"], seen["before packing"], seen["between benches"]) > 0, seen


def test_small_campaigns_with_benches_elsewhere_equal_trying_every_plan() -> None:
    tried = equal_trying_every_plan(
        lambda seed: elsewhere(small(seed), seed, benches=True), lambda inst: inst.carrying > 0, SMALL_WITH_BENCHES
    )
    assert len(tried) == len(SMALL_WITH_BENCHES)


@pytest.mark.parametrize("benches", [False, True])
def test_plans_hold_before_the_auditor(benches: bool) -> None:
    """Planned, told and audited."""
    seen: Counter[str] = Counter()
    for seed in range(16):
        campaign = elsewhere(small(seed), seed, benches)
        if campaign is None:
            continue
        planning = campaign.planning.model_copy(update={"rounds": 2})
        plan = make_plan(campaign.model_copy(update={"planning": planning}), Unhurried())
        assert plan.audit is not None, seed
        assert plan.audit.holds, (seed, [rule for rule in plan.audit.rules if not rule.holds])
        seen["plans"] += 1
        seen["brought"] += sum(visit.firm in campaign.places for lot in plan.finishing_lots for visit in lot.visits)
        seen["carried"] += len(plan.carried)
    assert min(seen["plans"], seen["brought"]) >= 5, seen
    assert (seen["carried"] >= 5) == benches, seen

"""Work between press and assembly (F1 to F6): the compiled evaluator and its plain twin agree on every plan, plans that
are found are as good as trying all of them, and no bound is above any."""

from collections import Counter

import pytest

from benchmarks.generator import small
from planner.control import Unhurried
from planner.planning.make import make_plan
from planner.reading import read
from planner.schedule.bounds.lower_bound import Solvers, thought
from planner.schedule.bounds.press_hours import beforehand
from planner.schedule.encode import compile_campaign
from planner.schedule.search import Budget, search
from planner.schedule.timing import timing_for
from tests.planner.schedule.few_plans import equal_trying_every_plan
from tests.planner.schedule.plain.compared import evaluated_twice
from tests.support.finishing import finished, pot_document
from tests.support.sampled import sampled

CAMPAIGNS_A_BLOCK = 25
SMALL = (40, 41, 54, 88)
"""Seeds of campaigns small enough to try every plan (see `few_plans`)."""


@pytest.mark.parametrize("block", sampled(range(2), 2))
def test_evaluator_equals_its_plain_twin(block: int) -> None:
    """Times to the second, money to the cent; lots, journeys, benches, unfinished stock and sub-assemblies are among
    them."""
    seen: Counter[str] = Counter()
    for seed in range(block * CAMPAIGNS_A_BLOCK, (block + 1) * CAMPAIGNS_A_BLOCK):
        campaign = finished(small(seed), seed)
        if campaign is None:
            continue
        inst, _ = compile_campaign(campaign)
        timing = timing_for(inst)
        for _ in evaluated_twice(inst, timing, seed, 2):
            seen["feasible"] += 1
            seen["journeys"] += inst.trip_leaves.size > 0
            seen["lots"] += bool((inst.good_lot % 1000 > 0).any())
            seen["benches"] += inst.finishing > 0
            seen["moulded"] += bool(inst.good_moulded.any())
            seen["put together"] += any(made.sub_assemblies for made in campaign.products.values())
    assert seen["feasible"] >= CAMPAIGNS_A_BLOCK // 2, seen
    assert min(seen["journeys"], seen["lots"], seen["benches"], seen["moulded"], seen["put together"]) > 0, seen


def test_small_campaigns_equal_trying_every_plan() -> None:
    """The search ends at the twin's optimum, and no bound is above it; some of them have sub-assemblies."""
    tried = equal_trying_every_plan(
        lambda seed: finished(small(seed), seed), lambda inst: inst.finishing > 0 or inst.sent_out > 0, SMALL
    )
    assert len(tried) == len(SMALL)
    assert any(made.sub_assemblies for campaign in tried for made in campaign.products.values())


def test_bounds_know_of_parts_that_wait_to_be_worked_on() -> None:
    """500 of 600 lie unpainted, a lot for the first parcels; the tool is weeks away. No bound is above the plan, which
    sends those in time: the bounds once had them moulded first."""
    data = pot_document()
    data["tools"]["pot"]["ready"] = "2027-02-15"
    data["finishing_firms"] = {"painter": {"leaves": ["tue"], "lead_days": 1}}
    data["parts"]["pot"] |= {
        "finishing": [{"what": "painting", "at": "painter", "lot_parts": 500}],
        "stock": [{"colours": ["cream"], "count": 500, "finished": False}],
    }
    data["tiers"]["one"] |= {"promised": "2027-01-29", "late_cost_per_day": 0.5}
    data["tiers"]["two"] = data["tiers"]["one"] | {"promised": "2027-05-01"}
    orders = {"units": {"pot": ["cream"]}}
    data["orders"] = [orders | {"tier": "one", "count": 500}, orders | {"tier": "two", "count": 100}]
    inst, _ = compile_campaign(read(data))
    found = search(inst, Budget(6, 1, 0.0, bound_effort=0.0), Unhurried())
    bounds = [better.total for better, _ in thought(inst, beforehand(inst), 1.0, Solvers())]
    assert 0.9 * found.cost < max(bounds) <= found.cost + 1e-6
    assert inst.good_moulded.tolist() == [500]


def test_plans_hold_before_the_auditor() -> None:
    """Planned, told and audited."""
    seen: Counter[str] = Counter()
    for seed in range(14):
        campaign = finished(small(seed), seed)
        if campaign is None:
            continue
        planning = campaign.planning.model_copy(update={"rounds": 2})
        plan = make_plan(campaign.model_copy(update={"planning": planning}), Unhurried())
        assert plan.audit is not None, seed
        assert plan.audit.holds, seed
        assert plan.why is not None, seed
        seen["plans"] += 1
        seen["jobs"] += len(plan.finishing)
        seen["lots"] += len(plan.finishing_lots)
    assert min(seen["plans"], seen["jobs"], seen["lots"]) >= 7, seen

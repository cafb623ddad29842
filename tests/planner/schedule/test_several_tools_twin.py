"""Parts that several tools make (D6): the compiled evaluator and its plain twin agree on every plan, small campaigns
end at the best of every way to share and every order, and no bound is above that."""

from collections import Counter
from itertools import product

import pytest

from benchmarks.generator import small
from planner.campaign.planning import MadeBy
from planner.control import Unhurried
from planner.demand.items import sharings
from planner.planning.make import make_plan
from planner.planning.shares import shared_out
from planner.reading import read
from planner.schedule.encode import compile_campaign
from planner.schedule.search import Budget, search
from planner.schedule.timing import timing_for
from tests.planner.schedule.brute_force import brute_force
from tests.planner.schedule.plain.compared import evaluated_twice
from tests.support.sampled import EVERY, sampled
from tests.support.several_tools import pot_document, shared

CAMPAIGNS_A_BLOCK = 25 if EVERY else 10


def _told(campaign, seed):
    """The campaign with shots shared out anyhow."""
    made_by = [
        MadeBy(tool=tool, colours=list(sharing.colours), shots=sharing.alone(tool) * (1 + (seed + n) % 3) // 4)
        for sharing in sharings(campaign)
        for n, tool in enumerate(sharing.tools)
        if sharing.makes(tool)
    ]
    return campaign.model_copy(update={"planning": campaign.planning.model_copy(update={"made_by": made_by})})


@pytest.mark.parametrize("block", sampled(range(2), 2))
def test_evaluator_equals_its_plain_twin_where_tools_share(block):
    """Times to the second, money to the cent, of plans in which two tools make one item."""
    seen: Counter[str] = Counter()
    for seed in range(block * CAMPAIGNS_A_BLOCK, (block + 1) * CAMPAIGNS_A_BLOCK):
        campaign = shared(small(seed), seed)
        if campaign is None:
            continue
        inst, _ = compile_campaign(_told(campaign, seed))
        timing = timing_for(inst)
        for _ in evaluated_twice(inst, timing, seed, 2):
            seen["feasible"] += 1
            seen["several"] += int((inst.last_source - inst.first_source > 1).sum()) if inst.several else 0
    assert min(seen["feasible"], seen["several"]) >= CAMPAIGNS_A_BLOCK // 4, seen


def _tiny(colours, late):
    """A few pots: shots few enough for every way to share them out, in every order on every press."""
    data = pot_document()
    data["scrap_taken"] = "known"
    for n, line in enumerate(data["orders"]):
        line["count"] = (9, 6)[n]
    data["orders"] = data["orders"][:colours]
    for tier in data["tiers"].values():
        tier["promised"], tier["late_cost_per_day"] = "2027-01-12", late
    data["tools"]["old pot"] |= {"cycle_s": 900}
    data["tools"]["new pot"] |= {"cycle_s": 2500, "startup_shots": 1}
    data["planning"] = {"rounds": 20, "seed": 3}
    return read(data)


@pytest.mark.parametrize(("colours", "late"), [(1, 0.0), (1, 50.0), (2, 0.0), (2, 9.0)])
def test_small_campaigns_equal_every_way_to_share_in_every_order(colours, late):
    """The best of all shots of each tool, none more than enough, by the plain twin alone; no bound is above it."""
    campaign = _tiny(colours, late)
    groups = sharings(campaign)
    ways = []
    for sharing in groups:
        every = [dict(zip(sharing.tools, shots, strict=True)) for shots in product(range(8), repeat=2)]
        enough = [way for way in every if sharing.enough(way, sharing.needed)]
        ways.append([way for way in enough if not any({**way, t: n - 1} in enough for t, n in way.items() if n)])
        assert len(ways[-1]) >= 3
    best, bounds = float("inf"), set()
    for way in product(*ways):
        made_by = [
            MadeBy(tool=tool, colours=list(sharing.colours), shots=shots)
            for sharing, each in zip(groups, way, strict=True)
            for tool, shots in each.items()
        ]
        planning = campaign.planning.model_copy(update={"made_by": made_by})
        inst, names = compile_campaign(campaign.model_copy(update={"planning": planning}))
        assert sum(run.shots for run in names.runs) == sum(one.shots for one in made_by)
        best = min(best, brute_force(inst))
        bounds.add(inst.several_bound)
    assert len(bounds) == 1
    assert max(bounds) <= best + 1e-6
    inst, _ = compile_campaign(shared_out(campaign, Unhurried()))
    found = search(inst, Budget(20, 3, 0.0), Unhurried())
    assert found.objective == pytest.approx(best, rel=1e-9, abs=2e-4)
    assert found.bound <= best + 1e-6


def test_plans_of_tools_that_share_hold_before_the_auditor():
    seen: Counter[str] = Counter()
    for seed in range(30):
        campaign = shared(small(seed), seed)
        if campaign is None or seen["plans"] >= 8:
            continue
        campaign = _told(campaign, seed) if seed % 3 else campaign
        planning = campaign.planning.model_copy(update={"rounds": 1})
        plan = make_plan(campaign.model_copy(update={"planning": planning}), Unhurried())
        assert plan.audit is not None, seed
        assert plan.audit.holds, (seed, plan.audit)
        assert plan.outcome.lower_bound <= plan.outcome.total
        seen["plans"] += 1
        seen["shared"] += sum(len(line.made_with) > 1 for line in plan.balance)
    assert min(seen["plans"], seen["shared"]) >= 6, seen

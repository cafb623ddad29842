"""Tools that may go to several places (F11): plans are as good as the best of every plan at every place, by the plain
twin, no bound is above it, and what is written holds before the auditor."""

import json
from collections import Counter

import pytest

from examples.situations import FOLDER
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.demand.items import sharings
from planner.demand.standing import at_places, ways
from planner.planning.make import make_plan
from planner.reading import read
from planner.schedule.encode import compile_campaign
from planner.schedule.instance import NONE
from planner.schedule.timing import timing_for
from tests.planner.schedule.plain.compared import evaluated_twice
from tests.planner.schedule.test_bounds_and_proof import brute_force

PRICES = ((20, 5.0), (20, 60.0), (90, 5.0), (90, 60.0))
"""An hour of our second press, and a lot's way here."""


def _tiny(rate: float, lot_price: float, pots: bool = False) -> Campaign:
    """Two dozen pots on feet; feet, and where `pots` is true pots too, go to a press of ours or to one elsewhere."""
    data = json.loads((FOLDER / "tool-to-either-place.json").read_text(encoding="utf-8"))
    data["presses"]["second"]["rate_per_hour"] = rate
    data["presses"]["small"]["clamp_kn"] = 1000
    data["places"]["far works"] |= {"lot_price": lot_price, "closed_days": []}
    data["tools"]["foot"] |= {"cycle_s": 900}
    data["tools"]["pot"] |= {"cycle_s": 900}
    if pots:
        data["tools"]["pot"]["presses"] = ["big", "small"]
    for line in data["orders"]:
        line["count"] = 12
    data["tiers"]["one"] |= {"promised": "2027-01-13", "late_cost_per_day": 1}
    data["planning"] = {"rounds": 20, "seed": 3}
    return read(data)


@pytest.mark.parametrize(("rate", "lot_price"), PRICES)
@pytest.mark.parametrize("pots", [False, True])
def test_small_campaigns_equal_every_plan_at_every_place(rate, lot_price, pots):
    campaign = _tiny(rate, lot_price, pots)
    every = ways(campaign)
    assert len(every) == (4 if pots else 2)
    best = {}
    for n, way in enumerate(every):
        inst, _ = compile_campaign(at_places(campaign, way))
        best[n] = brute_force(inst._replace(run_smallest=NONE))
    whole, _ = compile_campaign(campaign)
    plan = make_plan(campaign, Unhurried())
    assert plan.outcome.total == pytest.approx(min(best.values()), abs=0.01)
    assert max(whole.several_bound, plan.outcome.lower_bound) <= min(best.values()) + 1e-3
    stands = {line.tool: line.place or "" for line in plan.tools_at}
    assert best[every.index(stands)] == pytest.approx(min(best.values()), abs=0.01)


def test_both_places_are_chosen_somewhere():
    chosen = Counter(make_plan(_tiny(rate, lot_price), Unhurried()).tools_at[0].place for rate, lot_price in PRICES)
    assert min(chosen[None], chosen["far works"]) > 0, chosen


def test_evaluator_equals_its_plain_twin_wherever_tools_are():
    seen = Counter()
    for n, (rate, lot_price) in enumerate(PRICES):
        campaign = _tiny(rate, lot_price, True)
        for way in ways(campaign):
            made_at = at_places(campaign, way).planning
            inst, _ = compile_campaign(campaign.model_copy(update={"planning": made_at}))
            assert inst.several
            for _ in evaluated_twice(inst, timing_for(inst), n, 2):
                seen["brought" if inst.trip_leaves.size else "here"] += 1
    assert min(seen["brought"], seen["here"]) >= 4, seen


def test_copies_at_two_places_are_shared_at_each_and_only_one_place_makes_the_part():
    """Here two copies at once, each on its press; there one. Where lateness costs enough, two presses are worth it."""
    data = json.loads((FOLDER / "tool-to-either-place.json").read_text(encoding="utf-8"))
    foot = data["tools"]["foot"]
    data["tools"] |= {"foot here": foot | {"presses": ["second"]}, "foot there": foot | {"presses": ["small"]}}
    data["tools"]["foot"]["presses"] = ["big"]
    data["places"]["far works"]["lot_price"] = 4
    data["planning"]["rounds"] = 5
    for line in data["orders"]:
        line["count"] *= 4
    totals = {}
    for late in (0, 500):
        data["tiers"]["one"] |= {"promised": "2027-01-15", "late_cost_per_day": late}
        campaign = read(data)
        assert sharings(campaign)
        plan = make_plan(campaign, Unhurried())
        made = {run.tool for run in plan.runs} - {"pot"}
        totals[late] = plan.outcome.total
        assert made == ({"foot there"} if not late else made - {"foot there"}), (late, made)
        assert plan.outcome.lower_bound <= plan.outcome.total
    assert totals[0] < totals[500]

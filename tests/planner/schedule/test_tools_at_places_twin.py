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
from planner.planning.shares import _every_way, _saying
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


def _copies(late: float, lot_price: float, hold: str | None = None) -> Campaign:
    """Eight pots on three feet each; a tool for feet here, another at the far works, which sends lots of a dozen daily.
    hold: `stock`, two cream feet lie finished here; `there`, two lie at the far works."""
    data = json.loads((FOLDER / "tool-to-either-place.json").read_text(encoding="utf-8"))
    foot = data["tools"].pop("foot") | {"cycle_s": 9000, "startup_shots": 0}
    data["tools"] |= {"foot here": foot | {"presses": ["second"]}, "foot there": foot | {"presses": ["small"]}}
    data["presses"]["second"]["rate_per_hour"] = 28
    data["places"]["far works"] |= {
        "lot_price": lot_price, "lot_parts": 5, "closed_days": [], "leaves": ["mon", "tue", "wed", "thu", "fri"],
        "here_days": 1, "setter_rate_per_hour": 30,
    }  # fmt: skip
    for line in data["orders"]:
        line["count"] = 4
    if hold is not None:
        data["parts"]["foot"]["stock"] = [{"colours": ["cream"], "count": 2, "finished": hold == "stock"}]
    data["tiers"]["one"] |= {"promised": "2027-01-12", "late_cost_per_day": late}
    data["packing"] = {"batch_parcels": 4}
    data["pick_ups"] = {"days": ["mon", "tue", "wed", "thu", "fri"]}
    data["planning"] = {"rounds": 20, "seed": 3}
    return read(data)


COPIES = ((4, 3.0, None), (30, 3.0, "stock"), (30, 3.0, "there"))


def _every_share(campaign: Campaign) -> list[Campaign]:
    """The campaign in every way in which its tools may stand, and share their work."""
    found = []
    for way in ways(campaign):
        stands = at_places(campaign, way)
        shared = sharings(stands)
        every = _every_way(stands, shared)
        assert every is not None
        found += [_saying(stands, shared, shares) for shares in every]
    return found


@pytest.mark.parametrize(("late", "lot_price", "hold"), COPIES)
def test_small_campaigns_with_copies_at_two_places_equal_every_share_in_every_plan(late, lot_price, hold):
    campaign = _copies(late, lot_price, hold)
    best = min(brute_force(compile_campaign(one)[0]._replace(run_smallest=NONE)) for one in _every_share(campaign))
    whole, _ = compile_campaign(campaign)
    plan = make_plan(campaign, Unhurried())
    assert plan.audit is not None
    assert plan.audit.holds
    assert plan.outcome.total == pytest.approx(best, abs=0.01)
    assert max(whole.several_bound, plan.outcome.lower_bound) <= best + 1e-3
    assert ({"foot here", "foot there"} <= {run.tool for run in plan.runs}) == (late > 10)


def test_evaluator_equals_its_plain_twin_where_copies_are_at_two_places():
    seen = Counter()
    for n, case in enumerate(COPIES):
        for one in _every_share(_copies(*case))[:40:2]:
            inst, _ = compile_campaign(one)
            for _ in evaluated_twice(inst, timing_for(inst), n, 1):
                sources = range(int(inst.first_source.max(initial=0)), int(inst.last_source.max(initial=0)))
                seen["apart" if inst.sent_out and any(inst.good_lot[s] for s in sources) else "together"] += 1
    assert min(seen["apart"], seen["together"]) >= 4, seen

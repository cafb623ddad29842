"""What a plan says it costs on average, spoilt: A13 catches each."""

import json
from math import sqrt
from statistics import fmean, stdev

import pytest

from benchmarks.generator import sized, small
from planner.audit import audit
from planner.audit.a13_anew import TWENTY
from planner.campaign.common_case import common_case
from planner.control import Unhurried
from planner.plan.document import RunPlan
from planner.planning.make import make_plan
from tests.support.assertions import assert_plan_holds, broken_rules


@pytest.fixture(scope="module")
def made():
    campaign = small(1)
    tiers = {n: t.model_copy(update={"keep_promise": 0.9 if t.promised else None}) for n, t in campaign.tiers.items()}
    planning = campaign.planning.model_copy(update={"rounds": 1, "when_late": "first ready"})
    unsure = common_case(campaign)
    campaign = campaign.model_copy(update={"uncertainty": unsure, "tiers": tiers, "planning": planning})
    return campaign, make_plan(campaign, Unhurried())


WAYS = {
    "mean too low": lambda e: e.update(mean=e["mean"] - 1),
    "error too small": lambda e: e.update(standard_error=e["standard_error"] / 2),
    "a scenario left out": lambda e: e["costs"].pop(),
    "a dear scenario made cheap": lambda e: e["costs"].__setitem__(0, e["costs"][0] - 10_000),
    "a scenario that fails not counted": lambda e: e["costs"].__setitem__(1, None),
    "no scenario done": lambda e: e.update(costs=[None] * len(e["costs"])),
    "more saved than is": lambda e: e.update(saved=e["saved"] + 5),
    "bound above the mean": lambda e: e.update(bound=e["mean"] + 5),
    "lower end above the bound": lambda e: e.update(bound_low=e["bound"] + 5),
    "lower end left out": lambda e: e.update(bound_low=None),
    "bound of one scenario": lambda e: e.update(bound_replications=1),
    "bound without a basis": lambda e: e.update(bound_basis=""),
    "the likely world's plan below the bound": lambda e: e.update(certain_total=1.0),
    "chance left out": lambda e: e.update(chance_all=None),
    "a chance that is no share": lambda e: e.update(chance_all=0.123456),
    "a promise left out": lambda e: e["promises"].pop(),
    "less asked for": lambda e: e["promises"][0].update(asked=0.5),
    "a reason kept back": lambda e: e["promises"][0].update(why="" if e["promises"][0]["why"] else "none"),
    "all kept more often than one": lambda e: (e.update(chance_all=1.0), e["promises"][0].update(chance=0.0)),
    "another policy": lambda e: e.update(policy="as planned"),
    "own policy not among those compared": lambda e: e["policies"].pop(1),
    "two means for one policy": lambda e: e["policies"][1].update(mean=e["mean"] + 3),
}


def test_the_untouched_plan_holds(made):
    assert_plan_holds(*made)
    assert made[1].outcome.expected.promises


@pytest.mark.parametrize("way", WAYS)
def test_a_spoilt_average_is_caught(made, way):
    campaign, plan = made
    spoilt = json.loads(plan.model_dump_json())
    WAYS[way](spoilt["outcome"]["expected"])
    assert "A13" in broken_rules(campaign, RunPlan.model_validate(spoilt))


def one_scenario_dearer(expected, k=5, by=3.0):
    """A scenario by a little, and mean, error and what is saved with it."""
    costs = expected["costs"]
    costs[k] += by
    mean = fmean(costs)
    error = stdev(costs) / sqrt(len(costs))
    expected.update(saved=expected["saved"] - (mean - expected["mean"]), mean=mean, standard_error=error)
    for one in expected["policies"]:
        if one["policy"] == expected["policy"]:
            one.update(mean=mean, standard_error=error)


def a13(campaign, plan):
    return next(rule for rule in audit(campaign, plan).rules if rule.rule == "A13")


def test_twenty_scenarios_are_timed_anew(made):
    """Nothing is left out, and one that is a little off is found though all sums agree; which are timed is spread."""
    campaign, plan = made
    assert a13(campaign, plan).left_out == []
    spoilt = json.loads(plan.model_dump_json())
    number = len(spoilt["outcome"]["expected"]["costs"])
    one_scenario_dearer(spoilt["outcome"]["expected"], number // TWENTY)
    found = a13(campaign, RunPlan.model_validate(spoilt)).findings
    assert len(found) == 1
    assert f"scenario {number // TWENTY + 1} is said to cost" in found[0]
    assert "timed anew it costs" in found[0]


def test_a_scenario_that_cannot_be_carried_out():
    """Resin that never suffices once scrap is high: no cost stands there, and none that is written in is believed."""
    campaign = small(1)
    planning = campaign.planning.model_copy(update={"rounds": 0, "when_late": "as planned"})
    told = {"uncertainty": common_case(campaign), "planning": planning, "confidence": 0.5}
    campaign = campaign.model_copy(update=told)
    plan = make_plan(campaign, Unhurried())
    short = max(plan.materials, key=lambda one: one.used_kg)
    kept = {"stock_kg": short.used_kg + 0.02, "arrivals": [], "lead_days": None, "regrind_share": 0}
    resins = campaign.resins | {short.id: campaign.resins[short.id].model_copy(update=kept)}
    campaign = campaign.model_copy(update={"resins": resins})
    plan = make_plan(campaign, Unhurried())
    assert_plan_holds(campaign, plan)
    spoilt = json.loads(plan.model_dump_json())
    costs = spoilt["outcome"]["expected"]["costs"]
    assert None in costs
    assert set(costs) != {None}
    for spoil in ([999.0 if cost is None else cost for cost in costs], [None] * len(costs)):
        spoilt["outcome"]["expected"]["costs"] = spoil
        assert any("cannot be carried out" in one for one in a13(campaign, RunPlan.model_validate(spoilt)).findings)


def test_what_is_not_timed_anew_is_said(made):
    """An older plan."""
    campaign, plan = made
    said = plan.outcome.expected.model_copy(update={"followed_by": ""})
    plan = plan.model_copy(update={"outcome": plan.outcome.model_copy(update={"expected": said})})
    assert any("no scenario is timed anew" in one for one in a13(campaign, plan).left_out)


def test_the_order_in_which_assembly_jobs_stand_in_the_document_changes_nothing():
    """Parts are handed out, and benches go on, by product and colourway within a batch, whenever jobs are worked on."""
    campaign = sized("XS", 8)
    planning = campaign.planning.model_copy(update={"rounds": 0, "when_late": "as planned"})
    campaign = campaign.model_copy(update={"uncertainty": common_case(campaign), "planning": planning})
    plan = make_plan(campaign, Unhurried())
    verdict = a13(campaign, plan.model_copy(update={"assembly": plan.assembly[::-1]}))
    assert verdict.holds
    assert verdict.left_out == []


def test_an_average_of_a_campaign_that_asks_for_none(made):
    campaign, plan = made
    likely = campaign.planning.model_copy(update={"aim": "cost if all goes well"})
    assert "A13" in broken_rules(campaign.model_copy(update={"planning": likely}), plan)

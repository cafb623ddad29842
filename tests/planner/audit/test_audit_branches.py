"""Branches of a plan, spoilt: A13 catches each."""

import json
from copy import deepcopy

import pytest

from planner.audit.a13_drawn import uniform
from planner.control import Unhurried
from planner.plan.document import RunPlan
from planner.planning.make import make_plan
from planner.promise.random_streams import uniforms
from planner.reading import read
from tests.planner.expected.test_branches import trial
from tests.support.assertions import assert_plan_holds, broken_rules


@pytest.fixture(scope="module")
def made():
    campaign = trial({"a": 4, "b": 2, "c": 5}, {"a": 30, "b": 40, "c": 24}, 0.5, 8, "as planned")
    return campaign, make_plan(campaign, Unhurried())


def fails(told):
    return told["branches"][1]


def run(told, tool):
    return next(one for one in fails(told)["runs"] if one["tool"] == tool)


def moved(one, days):
    """So many days of January later, or sooner."""
    for field in ("begin", "start", "end"):
        one[field] = f"2027-01-{int(one[field][8:10]) + days:02}{one[field][10:]}"


def sooner_than_known(told):
    """The run after the common one begins on the first day."""
    run(told, "c").update(begin="2027-01-04T12:00:00Z", start="2027-01-04T12:00:00Z")


def other_beginning(told):
    """One branch begins with the run of the other: both are still called common."""
    run(told, "b").update(common=False)
    run(told, "c").update(common=True)


def two_scenarios_change_places(expected):
    """Costs and branches of two scenarios that turn out differently: every mean and share stays."""
    turned, costs = expected["branches"]["turned"], expected["costs"]
    a, b = turned.index(0), turned.index(1)
    for row in (turned, costs):
        row[a], row[b] = row[b], row[a]


def all_cheaper(expected):
    """Every scenario by more than its lateness and set-ups, every mean with it."""
    less = min(expected["costs"]) - 100.0
    expected["costs"] = [cost - less for cost in expected["costs"]]
    for field in ("mean", "certain_mean"):
        expected[field] -= less
    expected["bound"] = expected["bound_low"] = None
    expected["branches"]["plain_mean"] -= less
    for one in (*expected["policies"], *expected["branches"]["branches"]):
        one["mean"] -= less


def swapped(told):
    """The branches change their names, and nothing else."""
    told["branches"].reverse()


WAYS = {
    "known a day sooner": lambda t: t.update(known="2027-01-04T00:00:00Z"),
    "a thing the campaign does not know": lambda t: t.update(thing="tool/b/trial"),
    "a thing that is none": lambda t: t.update(thing="settled/weather"),
    "another chance": lambda t: fails(t).update(chance=0.4),
    "another outcome": lambda t: fails(t).update(id="works-later"),
    "a branch left out": lambda t: t["branches"].pop(),
    "branches in another order": swapped,
    "more saved than is": lambda t: t.update(worth=t["worth"] + 5),
    "the plan without branches dearer": lambda t: t.update(plain_mean=t["plain_mean"] + 5),
    "a scenario without its branch": lambda t: t["turned"].pop(),
    "a scenario in the other branch": lambda t: t["turned"].__setitem__(0, 1 - t["turned"][0]),
    "a branch that no scenario can be in": lambda t: t["turned"].__setitem__(0, 7),
    "a branch made cheaper": lambda t: fails(t).update(mean=fails(t)["mean"] - 5),
    "its error made smaller": lambda t: fails(t).update(standard_error=5.0),
    "a mean of none": lambda t: fails(t).update(mean=None),
    "the plan's own branch dearer than the plan": lambda t: t["branches"][0].update(total=1e6),
    "a run before the outcome is known": sooner_than_known,
    "a run that uses the tool before it is back": lambda t: moved(run(t, "a"), -4),
    "another beginning in one branch": other_beginning,
    "a common run at another time": lambda t: run(t, "b").update(begin="2027-01-04T01:00:00Z"),
    "a common run with fewer shots": lambda t: run(t, "b").update(shots=900),
    "a run left out": lambda t: fails(t)["runs"].pop(),
    "two runs on one press at once": lambda t: moved(run(t, "c"), 4),
    "a run that ends before it begins": lambda t: run(t, "c").update(end="2027-01-05T00:00:00Z"),
    "a batch left out": lambda t: fails(t)["batches"].pop(),
    "a batch begun before the outcome is known": lambda t: fails(t)["batches"][-1].update(begin="2027-01-04T01:00:00Z"),
    "a common batch in one branch only": lambda t: fails(t)["batches"][0].update(common=True),
    "a tier that leaves sooner": lambda t: fails(t)["tiers"][0].update(leaves="2027-01-05"),
    "a tier less late": lambda t: fails(t)["tiers"][0].update(days_late=0),
    "a chance that is no share": lambda t: fails(t)["tiers"][0].update(chance=0.123456),
    "the plan's own branch with another run": lambda t: moved(t["branches"][0]["runs"][-1], 1),
    "the plan's own branch packed later": lambda t: t["branches"][0]["batches"][-1].update(end="2027-01-30T00:00:00Z"),
}


def test_the_untouched_plan_holds(made):
    assert_plan_holds(*made)


@pytest.mark.parametrize("way", WAYS)
def test_spoilt_branches_are_caught(made, way):
    campaign, plan = made
    spoilt = deepcopy(json.loads(plan.model_dump_json()))
    WAYS[way](spoilt["outcome"]["expected"]["branches"])
    assert broken_rules(campaign, RunPlan.model_validate(spoilt)) == {"A13"}


@pytest.mark.parametrize("spoil", [two_scenarios_change_places, all_cheaper])
def test_scenarios_that_the_seed_does_not_give_are_caught(made, spoil):
    campaign, plan = made
    spoilt = deepcopy(json.loads(plan.model_dump_json()))
    spoil(spoilt["outcome"]["expected"])
    assert broken_rules(campaign, RunPlan.model_validate(spoilt)) == {"A13"}


def test_the_auditor_draws_what_the_planner_draws():
    """Two generators written apart give the same numbers."""
    for seed, name in ((1, "tool/a/trial 1"), (20261129, "settled/approval of sage")):
        assert [uniform(seed, name, k) for k in range(50)] == uniforms(seed, name, 50).tolist()


def test_a_trial_on_the_press_is_work_on_it(made):
    """The tool of `a` is tried in the only press for three hours of the first morning: the run that is common is broken
    off or begins later, and a plan made without that is caught."""
    campaign, plan = made
    data = campaign.model_dump(mode="json")
    [press] = data["presses"]
    parts = data["tools"]["a"]["cavities"]
    resin = data["parts"][next(iter(parts))]["barrels"][0]["resin"]
    trial = data["uncertainty"]["tools"]["a"]["first_trial"]
    trial |= {"press": press, "hours": "06:00-09:00", "melts": [f"{resin}/{next(iter(data['colours']))}"]}
    tried = read(data)
    assert "A4" in broken_rules(tried, plan)
    assert_plan_holds(tried, make_plan(tried, Unhurried()))

"""Scenarios under moulders' price lists and of presses that go on lights out: the auditor times them anew, to the cent,
with a twin that shares nothing with whoever made the plan (A13)."""

import json
from copy import deepcopy

import pytest

from benchmarks.generator import small
from planner.campaign import Campaign
from planner.campaign.common_case import common_case
from planner.control import Unhurried
from planner.errors import PlannerError
from planner.plan.document import RunPlan
from planner.planning.make import make_plan
from planner.reading import read
from tests.support.assertions import assert_plan_holds, broken_rules

ENOUGH = 4


def price_list(data):
    """Every press is a moulder's, each with another list."""
    for n, press in enumerate(data["presses"].values()):
        press["charges"] = {
            "changeover": 45 + n, "colour_change": 20, "shift": 33, "shift_hours": 6, "least_a_run": 900,
            "a_piece": dict.fromkeys(data["parts"], 0.03 + 0.01 * n),
        }  # fmt: skip


def lights_out(data):
    """Somebody is there for eight hours; presses go on for five more at most."""
    data["floor"]["attended"] = {"hours": {"mon-fri": "07:00-15:00"}}
    for press in data["presses"].values():
        press["hours"], press["on_dates"] = {"mon-fri": "06:00-24:00"}, {}
        press["lights_out"] = {"hours": 5}


def both(data):
    price_list(data)
    lights_out(data)


def with_ways(seed: int, ways, when_late: str) -> Campaign:
    campaign = small(seed)
    data = campaign.model_copy(update={"uncertainty": common_case(campaign)}).model_dump(mode="json")
    ways(data)
    data["planning"] |= {"rounds": 1, "when_late": when_late}
    return read(data)


def planned(ways, when_late: str):
    """Plans whose scenarios are all carried out, of the first campaigns drawn that have one."""
    found = 0
    for seed in range(1, 60):
        try:
            campaign = with_ways(seed, ways, when_late)
            plan = make_plan(campaign, Unhurried())
        except PlannerError:
            continue
        if plan.outcome.expected is None or plan.outcome.expected.not_done:
            continue
        yield campaign, plan
        found += 1
        if found == ENOUGH:
            return
    raise AssertionError("too few campaigns have a plan")


@pytest.mark.parametrize(
    ("ways", "when_late"),
    [(price_list, "as planned"), (price_list, "first ready"), (lights_out, "first ready"), (both, "as planned")],
)
def test_they_are_timed_anew_to_the_cent(ways, when_late):
    for campaign, plan in planned(ways, when_late):
        assert_plan_holds(campaign, plan)
        [mean] = [rule for rule in plan.audit.rules if rule.rule == "A13"]
        assert mean.left_out == []


@pytest.mark.parametrize("ways", [price_list, lights_out])
def test_costs_of_two_scenarios_that_change_places_are_caught(ways):
    """Every mean, share and error stays as it is."""
    campaign, plan = next(planned(ways, "as planned"))
    spoilt = deepcopy(json.loads(plan.model_dump_json()))
    costs = spoilt["outcome"]["expected"]["costs"]
    other = next(k for k, cost in enumerate(costs) if abs(cost - costs[0]) > 1)
    costs[0], costs[other] = costs[other], costs[0]
    assert broken_rules(campaign, RunPlan.model_validate(spoilt)) == {"A13"}

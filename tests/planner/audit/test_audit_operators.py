"""People who stay at presses (R26) before the auditor: a good plan passes, each way to spoil it is caught."""

import copy
from collections.abc import Callable
from datetime import datetime, timedelta
from functools import cache
from typing import Any

import pytest

from examples.situations import campaign_of, plan_of
from planner.campaign import Campaign
from planner.plan.document import RunPlan
from tests.support.assertions import broken_rules

Plan = dict[str, Any]
Spoil = Callable[[Plan, Plan], None]


@cache
def good() -> tuple[Campaign, RunPlan]:
    return campaign_of("operators"), plan_of("operators")


def of_floor(field: str, value: object) -> Spoil:
    def change(campaign: Plan, _: Plan) -> None:
        campaign["floor"][field] = value

    return change


def asks_for(tool: str, number: int) -> Spoil:
    def change(campaign: Plan, _: Plan) -> None:
        campaign["tools"][tool]["operators"] = number

    return change


def another_said(_: Plan, plan: Plan) -> None:
    next(run for run in plan["runs"] if run["operators"])["operators"] = 2


def nobody_said(_: Plan, plan: Plan) -> None:
    next(run for run in plan["runs"] if run["operators"])["operators"] = 0


def said_to_wait(_: Plan, plan: Plan) -> None:
    run = min(plan["runs"], key=lambda one: one["start"])
    run["waits_for"] = "operators"


def cost(what: str) -> Spoil:
    def change(_: Plan, plan: Plan) -> None:
        next(line for line in plan["costs"] if line["what"] == what)["amount"] += 1

    return change


def of_a_run(_: Plan, plan: Plan) -> None:
    next(run for run in plan["runs"] if run["operators"])["cost"] -= 5


def paid(_: Plan, plan: Plan) -> None:
    line = next(line for line in plan["cash"] if line["of"] == "operator hours")
    line["on"] = (datetime.fromisoformat(line["on"]) + timedelta(days=7)).date().isoformat()


def not_paid(_: Plan, plan: Plan) -> None:
    plan["cash"] = [line for line in plan["cash"] if line["of"] != "operator hours"]


def two_at_once(campaign: Plan, _: Plan) -> None:
    """Of the caps, which run beside the others, somebody should have stayed too."""
    campaign["tools"]["cap"]["operators"] = 1


def people_leave_sooner(campaign: Plan, _: Plan) -> None:
    campaign["floor"]["attended"]["hours"] = {"mon-fri": "06:00-12:00"}


WAYS: dict[str, tuple[str, Spoil]] = {
    "there is one fewer": ("A9", of_floor("operators", 0)),
    "one more would have to stay": ("A9", two_at_once),
    "a tool asks for two": ("A9", asks_for("knob", 2)),
    "two are said to stay": ("A9", another_said),
    "nobody is said to stay": ("A9", nobody_said),
    "they leave at twelve": ("A9", people_leave_sooner),
    "said to wait for them": ("A3", said_to_wait),
    "they cost more": ("A12", of_floor("operator_rate_per_hour", 30)),
    "the line costs more": ("A12", cost("operator hours")),
    "a run costs less": ("A12", of_a_run),
    "paid a week later": ("A12", paid),
    "not paid at all": ("A12", not_paid),
}


def spoilt(name: str) -> tuple[Campaign, RunPlan]:
    campaign, plan = good()
    first = campaign.model_dump(mode="json", by_alias=True, exclude_unset=True)
    second = copy.deepcopy(plan.model_dump(mode="json", by_alias=True))
    WAYS[name][1](first, second)
    return Campaign.model_validate(first), RunPlan.model_validate(second)


def test_the_plan_holds() -> None:
    campaign, plan = good()
    assert not broken_rules(campaign, plan)


@pytest.mark.parametrize("name", WAYS)
def test_a_spoilt_plan_is_caught(name: str) -> None:
    assert WAYS[name][0] in broken_rules(*spoilt(name))


def test_what_somebody_stays_with_does_not_go_on_when_people_have_left() -> None:
    """Caps need nobody and are moulded until the evening; told afterwards that somebody stays, their plan breaks A9."""
    campaign, plan = good()
    night = next(run for run in plan.runs if not run.operators)
    assert night.end.hour >= 15
    data = campaign.model_dump(mode="json", by_alias=True, exclude_unset=True)
    data["tools"][night.tool]["operators"] = 1
    data["floor"]["operators"] = 9
    told = plan.model_dump(mode="json", by_alias=True)
    next(run for run in told["runs"] if run["id"] == night.id)["operators"] = 1
    assert "A9" in broken_rules(Campaign.model_validate(data), RunPlan.model_validate(told))

"""Other places (F9) before the auditor: a good plan passes, each way to spoil it is caught."""

import copy
import json
from collections.abc import Callable
from datetime import datetime, timedelta
from functools import cache
from typing import Any

import pytest

from examples.situations import FOLDER
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.plan.document import RunPlan
from planner.planning.make import make_plan
from planner.reading import read
from tests.support.assertions import broken_rules

Plan = dict[str, Any]
Spoil = Callable[[Plan, Plan], None]


@cache
def good() -> tuple[Campaign, RunPlan]:
    """Two presses at the far works, which is closed on Tuesday, with one setter; another here."""
    data = json.loads((FOLDER / "moulder-elsewhere.json").read_text(encoding="utf-8"))
    data["presses"]["small too"] = copy.deepcopy(data["presses"]["small"])
    data["tools"]["foot"]["presses"] = ["small"]
    data["tools"]["lid"] = data["tools"]["foot"] | {"cavities": {"lid": 2}, "presses": ["small too"]}
    data["parts"]["lid"] = {"barrels": [{"resin": "pp", "mass_g": 20}]}
    product = data["products"]["pot"]
    product["parts"]["lid"] = 1
    for colour, colours in product["colourways"].items():
        colours["lid"] = [colour]
    data["places"]["far works"]["balance_days"] = 10
    data["planning"]["rounds"] = 5
    campaign = read(data)
    return campaign, make_plan(campaign, Unhurried())


def of_place(field: str, value: object) -> Spoil:
    def change(campaign: Plan, _: Plan) -> None:
        campaign["places"]["far works"][field] = value

    return change


def of_visit(field: str, hours: float) -> Spoil:
    def change(_: Plan, plan: Plan) -> None:
        visit = plan["finishing_lots"][0]["visits"][0]
        visit[field] = (datetime.fromisoformat(visit[field]) + timedelta(hours=hours)).isoformat()
        if field == "back":
            plan["finishing_lots"][0]["there"] = visit[field]

    return change


def lot_left_out(_: Plan, plan: Plan) -> None:
    plan["finishing_lots"].pop()


def brought_for_nothing(_: Plan, plan: Plan) -> None:
    plan["finishing_lots"][0]["visits"][0]["price"] = 0.0


def cost(what: str) -> Spoil:
    def change(_: Plan, plan: Plan) -> None:
        next(line for line in plan["costs"] if line["what"] == what)["amount"] += 1

    return change


def paid(_: Plan, plan: Plan) -> None:
    next(line for line in plan["cash"] if line["what"] == "carriage")["on"] = "2027-01-20"


def second_setter(_: Plan, plan: Plan) -> None:
    for run in plan["runs"]:
        if run["press"] != "big" and run["changeover"]:
            run["changeover"]["setter"] = 2


def stands_here(campaign: Plan, _: Plan) -> None:
    """One setter of ours would have to be at two presses."""
    del campaign["presses"]["small"]["place"]


WAYS: dict[str, tuple[str, Spoil]] = {
    "its clock is ours": ("A4", of_place("time_zone", "Europe/London")),
    "it is closed when its presses run": ("A4", of_place("closed_days", ["2027-01-11", "2027-01-12"])),
    "no holiday there": ("A8", of_place("closed_days", [])),
    "longer on the way": ("A8", of_place("here_days", 5)),
    "smaller lots": ("A8", of_place("lot_parts", 700)),
    "leaves on other days": ("A8", of_place("leaves", ["fri"])),
    "leaves too soon": ("A8", of_visit("leaves", -24)),
    "here too soon": ("A8", of_visit("back", -24)),
    "a lot left out": ("A8", lot_left_out),
    "brought for nothing": ("A8", brought_for_nothing),
    "a setter it does not have": ("A9", second_setter),
    "our setter at two presses": ("A9", stands_here),
    "its setters cost more": ("A12", of_place("setter_rate_per_hour", 40)),
    "setters cost more": ("A12", cost("setter hours")),
    "carriage costs more": ("A12", cost("carriage")),
    "carriage paid on another day": ("A12", paid),
    "carriage to be paid later": ("A12", of_place("balance_days", 30)),
}


def spoilt(name: str) -> tuple[Campaign, RunPlan]:
    campaign, plan = good()
    first = campaign.model_dump(mode="json", by_alias=True, exclude_unset=True)
    second = copy.deepcopy(plan.model_dump(mode="json", by_alias=True))
    WAYS[name][1](first, second)
    return Campaign.model_validate(first), RunPlan.model_validate(second)


def test_the_plan_holds_and_the_places_setter_goes_from_press_to_press() -> None:
    _, plan = good()
    assert plan.audit is not None
    assert plan.audit.holds
    there = sorted(run.changeover.start for run in plan.runs if run.press != "big" and run.changeover)
    assert len(set(there)) == len(there)
    first = min(run.changeover.start for run in plan.runs if run.press == "big" and run.changeover)
    assert first == there[0]


@pytest.mark.parametrize("name", WAYS)
def test_a_spoilt_plan_is_caught(name: str) -> None:
    assert WAYS[name][0] in broken_rules(*spoilt(name))

"""Other places (F9) before the auditor: a good plan passes, each way to spoil it is caught."""

import copy
import json
from functools import cache

import pytest

from examples.situations import FOLDER, campaign_of
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.plan.document import RunPlan
from planner.planning.make import make_plan
from planner.reading import read
from tests.support.assertions import broken_rules
from tests.support.spoils.by_hand import Json, Spoil, costs_more, moved, of_campaign, paid_on, spoilt


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


def of_visit(field: str, hours: float) -> Spoil:
    def change(_: Json, plan: Json) -> None:
        visit = plan["finishing_lots"][0]["visits"][0]
        visit[field] = moved(visit[field], hours)
        if field == "back":
            plan["finishing_lots"][0]["there"] = visit[field]

    return change


def lot_left_out(_: Json, plan: Json) -> None:
    plan["finishing_lots"].pop()


def brought_for_nothing(_: Json, plan: Json) -> None:
    plan["finishing_lots"][0]["visits"][0]["price"] = 0.0


def second_setter(_: Json, plan: Json) -> None:
    for run in plan["runs"]:
        if run["press"] != "big" and run["changeover"]:
            run["changeover"]["setter"] = 2


def stands_here(campaign: Json, _: Json) -> None:
    """One setter of ours would have to be at two presses."""
    del campaign["presses"]["small"]["place"]


WAYS: dict[str, tuple[str, Spoil]] = {
    "its clock is ours": ("A4", of_campaign("Europe/London", "places", "far works", "time_zone")),
    "it is closed when its presses run": (
        "A4",
        of_campaign(["2027-01-11", "2027-01-12"], "places", "far works", "closed_days"),
    ),
    "no holiday there": ("A8", of_campaign([], "places", "far works", "closed_days")),
    "longer on the way": ("A8", of_campaign(5, "places", "far works", "here_days")),
    "smaller lots": ("A8", of_campaign(700, "places", "far works", "lot_parts")),
    "leaves on other days": ("A8", of_campaign(["fri"], "places", "far works", "leaves")),
    "leaves too soon": ("A8", of_visit("leaves", -24)),
    "here too soon": ("A8", of_visit("back", -24)),
    "a lot left out": ("A8", lot_left_out),
    "brought for nothing": ("A8", brought_for_nothing),
    "a setter it does not have": ("A9", second_setter),
    "our setter at two presses": ("A9", stands_here),
    "its setters cost more": ("A12", of_campaign(40, "places", "far works", "setter_rate_per_hour")),
    "setters cost more": ("A12", costs_more("setter hours")),
    "carriage costs more": ("A12", costs_more("carriage")),
    "carriage paid on another day": ("A12", paid_on("carriage", "2027-01-20")),
    "carriage to be paid later": ("A12", of_campaign(30, "places", "far works", "balance_days")),
}


@cache
def to_either_place() -> tuple[Campaign, RunPlan]:
    """Feet go to one of two places."""
    campaign = campaign_of("tool-to-either-place")
    return campaign, make_plan(campaign, Unhurried())


def said_elsewhere(_: Json, plan: Json) -> None:
    plan["tools_at"][-1]["place"] = None


def said_later(_: Json, plan: Json) -> None:
    plan["tools_at"][0]["by"] = moved(plan["tools_at"][0]["by"], 1)


def run_at_both(_: Json, plan: Json) -> None:
    last = [run for run in plan["runs"] if run["tool"] == "foot"][-1]
    last["press"] = "second"


def moulded_here(_: Json, plan: Json) -> None:
    """Lots are brought of what the plan moulds here."""
    for run in plan["runs"]:
        if run["tool"] == "foot":
            run["press"] = "second"


AT_PLACES: dict[str, tuple[str, Spoil]] = {
    "said to be elsewhere": ("A1", said_elsewhere),
    "said to be needed later": ("A1", said_later),
    "run at two places": ("A1", run_at_both),
    "brought from where nothing is moulded": ("A8", moulded_here),
}


@pytest.mark.parametrize("name", AT_PLACES)
def test_a_tool_that_is_not_where_it_is_said_is_caught(name: str) -> None:
    assert AT_PLACES[name][0] in broken_rules(*spoilt(*to_either_place(), AT_PLACES[name][1]))


@cache
def copies_at_both() -> tuple[Campaign, RunPlan]:
    """A tool here and one at the far works make feet at once."""
    campaign = campaign_of("copies-at-two-places")
    return campaign, make_plan(campaign, Unhurried())


def lot_of_the_other(_: Json, plan: Json) -> None:
    plan["finishing_lots"][0]["tool"] = "foot A"


def lot_of_all(_: Json, plan: Json) -> None:
    plan["finishing_lots"][0]["tool"] = None


def one_base(campaign: Json, _: Json) -> None:
    for tool in ("foot A", "foot B"):
        campaign["tools"][tool] |= {"base": "one"}


def painted_by_a_firm(campaign: Json, _: Json) -> None:
    campaign["finishing_firms"] = {"painter": {"lead_days": 1}}
    campaign["parts"]["foot"]["finishing"] = [{"what": "paint", "at": "painter"}]


AT_BOTH: dict[str, tuple[str, Spoil]] = {
    "a lot of the other copy's": ("A8", lot_of_the_other),
    "a lot of what both make": ("A8", lot_of_all),
    "a lot left out": ("A8", lot_left_out),
    "longer on the way": ("A8", of_campaign(8, "places", "far works", "here_days")),
    "copies on one base": ("A1", one_base),
    "painted by a firm": ("A1", painted_by_a_firm),
    "dried at both": ("A1", of_campaign(2, "resins", "pp", "drying_hours")),
    "said to be elsewhere": ("A1", said_elsewhere),
}


@pytest.mark.parametrize("name", AT_BOTH)
def test_copies_at_two_places_that_are_planned_wrong_are_caught(name: str) -> None:
    assert AT_BOTH[name][0] in broken_rules(*spoilt(*copies_at_both(), AT_BOTH[name][1]))


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
    assert WAYS[name][0] in broken_rules(*spoilt(*good(), WAYS[name][1]))


def test_scenarios_of_copies_at_two_places_are_timed_anew() -> None:
    data = json.loads((FOLDER / "copies-at-two-places.json").read_text(encoding="utf-8"))
    data["uncertainty"] = {"tools": {"foot B": {"ready_days": {"early": 0, "likely": 0, "late": 2}}}}
    data["planning"]["rounds"] = 2
    plan = make_plan(read(data), Unhurried())
    assert plan.audit is not None
    assert plan.audit.holds
    (verdict,) = [rule for rule in plan.audit.rules if rule.rule == "A13"]
    assert verdict.checked
    assert not verdict.left_out
    assert {"foot A", "foot B"} <= {run.tool for run in plan.runs}

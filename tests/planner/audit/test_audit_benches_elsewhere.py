"""Benches at other places (F10) before the auditor: a good plan passes, each way to spoil it is caught."""

import json
from functools import cache

import pytest

from examples.situations import FOLDER, campaign_of, plan_of
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.plan.document import RunPlan
from planner.planning.make import make_plan
from planner.reading import read
from tests.support.assertions import broken_rules
from tests.support.spoils.by_hand import Json, Spoil, costs_more, moved, of_campaign, paid_on, spoilt


@cache
def good() -> tuple[Campaign, RunPlan]:
    """Pots are printed here, assembled at the mill house, welded before that at the far works, packed at the far works
    where lots come by way of our floor."""
    data = json.loads((FOLDER / "assembly-elsewhere.json").read_text(encoding="utf-8"))
    data["places"]["far works"] = {"time_zone": "America/New_York", "lot_price": 12, "balance_days": 7, "here_days": 1}
    data["finishing_benches"] = {
        "printer": {"hours": {"mon-fri": "06:00-22:00"}},
        "welder": {"hours": {"mon-fri": "08:00-16:00 x2"}, "place": "far works"},
    }
    data["parts"]["pot"]["finishing"] = [
        {"what": "printing", "at": "printer", "minutes": 0.1}, {"what": "welding", "at": "welder", "minutes": 0.2}
    ]  # fmt: skip
    data["packing"]["place"] = "far works"
    data["orders"][0]["count"] = 1200
    data["packing"]["batch_parcels"] = 600
    data["planning"]["rounds"] = 5
    campaign = read(data)
    return campaign, make_plan(campaign, Unhurried())


def of_way(field: str, hours: float, lot: int = 0, visit: int = 0) -> Spoil:
    def change(_: Json, plan: Json) -> None:
        way = plan["carried"][lot]["visits"][visit]
        way[field] = moved(way[field], hours)

    return change


def left_out(_: Json, plan: Json) -> None:
    plan["carried"].pop()


def twice(_: Json, plan: Json) -> None:
    plan["carried"].append(plan["carried"][-1])


def of_lot(field: str, value: object) -> Spoil:
    def change(_: Json, plan: Json) -> None:
        plan["carried"][0][field] = value

    return change


def for_nothing(_: Json, plan: Json) -> None:
    plan["carried"][0]["visits"][0]["price"] = 0.0


def sooner(section: str) -> Spoil:
    """The last of a section's work done a day sooner than what it takes has come."""

    def change(_: Json, plan: Json) -> None:
        one = plan[section][-1]
        one["start"], one["end"] = moved(one["start"], -24), moved(one["end"], -24)
        if "rested" in one:
            one["rested"] = moved(one["rested"], -24)

    return change


WAYS: dict[str, tuple[str, Spoil]] = {
    "the clock of assembly is ours": ("A9", of_campaign("Europe/London", "places", "mill house", "time_zone")),
    "it is closed when units are assembled": (
        "A9",
        of_campaign(["2027-01-14", "2027-01-15", "2027-01-18"], "places", "mill house", "closed_days"),
    ),
    "the clock of packing is ours": ("A9", of_campaign("Europe/London", "places", "far works", "time_zone")),
    "pick-ups by our clock": ("A10", of_campaign("Europe/London", "places", "far works", "time_zone")),
    "longer on the way there": ("A8", of_campaign(6, "places", "mill house", "there_days")),
    "longer on the way here": ("A8", of_campaign(6, "places", "far works", "here_days")),
    "leaves on other days": ("A8", of_campaign(["sun"], "places", "mill house", "leaves")),
    "assembly is here": ("A8", of_campaign(None, "assembly", "place")),
    "the welder is here": ("A8", of_campaign(None, "finishing_benches", "welder", "place")),
    "leaves too soon": ("A8", of_way("leaves", -24)),
    "there too soon": ("A8", of_way("back", -24)),
    "the second way too soon": ("A8", of_way("back", -24, -1, -1)),
    "a lot left out": ("A8", left_out),
    "a lot carried twice": ("A8", twice),
    "fewer units": ("A8", of_lot("units", 1)),
    "by another way": ("A8", of_lot("visits", [])),
    "for nothing": ("A8", for_nothing),
    "ready sooner": ("A8", of_lot("ready", "2027-01-11T06:00:00+00:00")),
    "welded before they come": ("A8", sooner("finishing")),
    "assembled before they come": ("A8", sooner("assembly")),
    "packed before they come": ("A8", sooner("batches")),
    "carriage costs more": ("A12", costs_more("carriage")),
    "each way costs more": ("A8", of_campaign(31, "places", "mill house", "lot_price")),
    "carriage paid on another day": ("A12", paid_on("carriage", "2027-03-20")),
    "carriage to be paid later": ("A12", of_campaign(30, "places", "far works", "balance_days")),
}


def test_the_plan_holds_and_lots_go_by_way_of_our_floor() -> None:
    _, plan = good()
    assert plan.audit is not None
    assert plan.audit.holds, [rule.findings for rule in plan.audit.rules]
    assert {len(lot.visits) for lot in plan.carried} == {1, 2}
    assert any(lot.of == lot.to for lot in plan.carried)
    cost = {line.what: line.amount for line in plan.costs}
    assert cost["carriage"] == pytest.approx(sum(visit.price for lot in plan.carried for visit in lot.visits))
    assert cost["carriage"] == 2 * (12 + 2 * (30 + 12))
    assert plan.why is not None
    assert {"carried"} <= {link.kind for chain in plan.why.chains for link in chain.links}


@pytest.mark.parametrize("name", WAYS)
def test_a_spoilt_plan_is_caught(name: str) -> None:
    assert WAYS[name][0] in broken_rules(*spoilt(*good(), WAYS[name][1]))


def test_cores_that_have_not_come_are_seen() -> None:
    """Of the situation: were the cores longer on the way, or were their lots larger, the first run had none."""
    good = campaign_of("cores-from-elsewhere"), plan_of("cores-from-elsewhere")
    for field, value in (("here_days", 2), ("lot_parts", 2546), ("time", "10:00")):
        assert "A8" in broken_rules(*spoilt(*good, of_campaign(value, "places", "core works", field))), field

"""Work between press and assembly before the auditor: a good plan passes, each way to spoil it is caught."""

import sys
from functools import cache

import pytest

from planner.audit import audit
from planner.audit.findings import Findings
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.plan.document import RunPlan
from planner.planning.make import make_plan
from planner.reading import read
from tests.support.assertions import broken_rules
from tests.support.finishing import pot_document
from tests.support.spoils.by_hand import Json, Spoil, costs_more, moved, of_campaign, paid_on, spoilt


def _document() -> Json:
    """White pots go to the painter in lots of 250, are printed and welded, 60 of them in hand, moulded; their feet
    are printed, 90 of them in hand, finished."""
    data = pot_document()
    data["colours"]["white"] = {"hex": "#ffffff", "stock_kg": 50}
    data["finishing_benches"] = {
        "printing": {"hours": {"mon-fri": "08:00-16:00"}, "rate_per_hour": 18},
        "welding": {"hours": {"mon-fri": "08:00-16:00"}, "people": 2, "rate_per_hour": 20},
    }
    data["finishing_firms"] = {
        "painter": {"leaves": ["tue", "thu"], "lead_days": 3, "lot_price": 40, "balance_days": 14}
    }
    data["parts"]["pot"] |= {
        "finishing": [
            {"what": "painting", "at": "painter", "price": 0.4, "scrap_share": 0.02, "lot_parts": 250, "rest_hours": 12,
             "gives_colour": True},
            {"what": "pad printing", "at": "printing", "minutes": 0.5, "price": 0.02, "scrap_share": 0.01},
            {"what": "welding", "at": "welding", "minutes": 0.25, "rest_hours": 1},
        ],
        "stock": [{"colours": ["white"], "count": 60, "finished": False}],
    }  # fmt: skip
    data["parts"]["foot"] = {
        "barrels": [{"resin": "pp", "mass_g": 10}],
        "finishing": [{"what": "pad printing", "at": "printing", "minutes": 0.1}],
        "stock": [{"colours": ["white"], "count": 90}],
    }
    data["tools"]["foot"] = {"cavities": {"foot": 4}, "cycle_s": 20, "presses": ["big"]}
    product = data["products"]["pot"]
    product["parts"]["foot"] = 1
    product["colourways"] = {way: {"pot": ["white"], "foot": ["white"]} for way in ("cream", "sage")}
    product["finished_in"] = {"cream": {"pot": "cream"}, "sage": {"pot": "sage"}}
    return data


@cache
def good() -> tuple[Campaign, RunPlan]:
    campaign = read(_document())
    return campaign, make_plan(campaign, Unhurried())


def job(plan: Json, bench: str) -> Json:
    return next(one for one in plan["finishing"] if one["bench"] == bench)


def shifted(bench: str, hours: float) -> Spoil:
    def change(_: Json, plan: Json) -> None:
        for field in ("start", "end", "rested"):
            job(plan, bench)[field] = moved(job(plan, bench)[field], hours)

    return change


def of_job(bench: str, field: str, value: object) -> Spoil:
    def change(_: Json, plan: Json) -> None:
        job(plan, bench)[field] = value

    return change


def of_part(bench: str, field: str, value: object) -> Spoil:
    def change(_: Json, plan: Json) -> None:
        job(plan, bench)["parts"][-1][field] = value

    return change


def of_lot(field: str, value: object) -> Spoil:
    def change(_: Json, plan: Json) -> None:
        plan["finishing_lots"][1][field] = value

    return change


def of_visit(field: str, value: object) -> Spoil:
    def change(_: Json, plan: Json) -> None:
        plan["finishing_lots"][1]["visits"][0][field] = value

    return change


def balanced(_: Json, plan: Json) -> None:
    next(line for line in plan["balance"] if line["part"] == "pot")["finishing_scrap"] = 0.0


def assembled_before(_: Json, plan: Json) -> None:
    one = min(plan["assembly"], key=lambda job: job["start"])
    one["start"], one["end"] = moved(one["start"], -0.5), moved(one["end"], -0.5)


def linked(kind: str) -> Spoil:
    def change(_: Json, plan: Json) -> None:
        link = next(one for chain in plan["why"]["chains"] for one in chain["links"] if one["kind"] == kind)
        link["of"] = "nobody"

    return change


def twice(_: Json, plan: Json) -> None:
    plan["finishing"].append(job(plan, "printing"))


def dropped(_: Json, plan: Json) -> None:
    plan["finishing"].remove(job(plan, "printing"))


def lot_dropped(_: Json, plan: Json) -> None:
    plan["finishing_lots"].pop()


def of_nobody(_: Json, plan: Json) -> None:
    plan["finishing_lots"][0]["part"] = "lid"


def busy(_: Json, plan: Json) -> None:
    next(one for one in plan["why"]["busy"] if one["kind"] == "finishing")["busy_hours"] += 1


def fewer(_: Json, plan: Json) -> None:
    """One foot less is printed than must be."""
    job(plan, "printing")["parts"][0]["good"] -= 1


def unprinted(campaign: Json, _: Json) -> None:
    campaign["parts"]["foot"]["finishing"] = []


WAYS: dict[str, tuple[str, Spoil]] = {
    "it spoils more than is said": ("A7", balanced),
    "it spoils more than was moulded for": ("A7", of_campaign(0.2, "parts", "pot", "finishing", 0, "scrap_share")),
    "printed before the lot is back": ("A8", shifted("printing", -24)),
    "welded before it is printed": ("A8", shifted("welding", -1)),
    "assembled before the weld has rested": ("A8", assembled_before),
    "rests longer than is said": ("A8", of_campaign(3, "parts", "pot", "finishing", 2, "rest_hours")),
    "on a bench that is not there": ("A8", of_job("printing", "bench", "polishing")),
    "for a job that is not there": ("A8", of_job("printing", "assembly", "assembly-99")),
    "a job twice": ("A8", twice),
    "a job left out": ("A8", dropped),
    "a part too few": ("A8", fewer),
    "more parts than the job takes": ("A8", of_part("printing", "good", 1000)),
    "fewer go in": ("A8", of_part("printing", "goes_in", 1.0)),
    "another colour": ("A8", of_part("printing", "colour", "sage")),
    "a part with no step there": ("A8", unprinted),
    "a lot left out": ("A8", lot_dropped),
    "a lot of nobody's": ("A8", of_nobody),
    "a lot of one tool's where all make it": ("A8", of_lot("tool", "pot tool")),
    "a lot too small": ("A8", of_lot("good", 249)),
    "a lot complete too soon": ("A8", of_lot("complete", "2027-01-11T06:50:00+00:00")),
    "there too soon": ("A8", of_lot("there", "2027-01-19T16:00:00+00:00")),
    "in other colours": ("A8", of_lot("in_colours", {"sage": 250})),
    "at another firm": ("A8", of_visit("firm", "plater")),
    "leaves on a Monday": ("A8", of_visit("leaves", "2027-01-11T16:00:00+00:00")),
    "back too soon": ("A8", of_visit("back", "2027-01-18T16:00:00+00:00")),
    "the firm is closed": ("A8", of_campaign(["2027-01-14"], "finishing_firms", "painter", "closed_days")),
    "fewer parts go": ("A8", of_visit("parts", 250)),
    "paid less": ("A8", of_visit("price", 1.0)),
    "lots that are not to travel": ("A8", of_campaign([], "parts", "pot", "finishing")),
    "no colour is given there": ("A8", of_campaign(False, "parts", "pot", "finishing", 0, "gives_colour")),
    "on the bench at night": ("A9", shifted("printing", 13)),
    "takes longer than said": ("A9", of_campaign(0.6, "parts", "pot", "finishing", 1, "minutes")),
    "fewer minutes are told": ("A9", of_job("printing", "person_minutes", 1.0)),
    "the chain speaks of another job": ("A10", linked("finishing")),
    "the chain speaks of another part": ("A10", linked("lot away")),
    "the chain speaks of another bench": ("A10", linked("drying")),
    "the bench is busier": ("A4", busy),
    "its hours are dearer": ("A12", of_campaign(30, "finishing_benches", "printing", "rate_per_hour")),
    "its hours cost more": ("A12", costs_more("finishing labour")),
    "pieces cost more": ("A12", costs_more("finishing by the piece")),
    "paid on another day": ("A12", paid_on("finishing", "2027-01-12")),
}


def test_the_plan_holds_and_has_it_all() -> None:
    """By hand: 940 pots are to be good beyond the 58 of 60 in hand that will be: 942. White feet: 90 are finished."""
    _, plan = good()
    assert plan.audit is not None
    assert plan.audit.holds
    assert plan.why is not None
    kinds = {link.kind for chain in plan.why.chains for link in chain.links}
    assert {"finishing", "lot away", "drying"} <= kinds
    pots = next(line for line in plan.balance if line.part == "pot")
    assert (pots.stock, pots.to_mould) == (58, 942)
    assert sum(lot.good for lot in plan.finishing_lots) == 1000
    assert [lot.good for lot in plan.finishing_lots] == [250] * 4
    printed = [part for one in plan.finishing for part in one.parts if one.bench == "printing"]
    assert sum(part.good for part in printed if part.part == "foot") == 910
    told = {colour for lot in plan.finishing_lots for colour in lot.in_colours}
    assert told == {"cream", "sage"}


@pytest.mark.parametrize("name", WAYS)
def test_a_spoilt_plan_is_caught(name: str) -> None:
    assert WAYS[name][0] in broken_rules(*spoilt(*good(), WAYS[name][1]))


def test_every_check_can_fail(monkeypatch: pytest.MonkeyPatch) -> None:
    """None of those on this work is idle."""
    held: set[int] = set()
    failed: set[int] = set()
    expect = Findings.expect

    def watched(self: Findings, holds: bool, otherwise: str) -> bool:
        caller = sys._getframe(1)
        if caller.f_code.co_filename.endswith("a08_finishing.py"):
            (held if holds else failed).add(caller.f_lineno)
        return expect(self, holds, otherwise)

    monkeypatch.setattr(Findings, "expect", watched)
    audit(*good())
    for name in WAYS:
        audit(*spoilt(*good(), WAYS[name][1]))
    assert held - failed == set()

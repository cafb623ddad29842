"""Benches elsewhere (F10) where other things meet them: a crew of one night over a clock change, all in stock, a place
that does everything, orders of add-ons only. Moments and money by hand."""

import json
from typing import Any

import pytest

from examples.situations import FOLDER
from planner.control import Unhurried
from planner.plan.document import RunPlan
from planner.planning.make import make_plan
from planner.reading import read

Json = dict[str, Any]


def planned(**changes: Any) -> RunPlan:
    """The situation `assembly-elsewhere` with sections changed: merged where they are objects, None takes one out."""
    data: Json = json.loads((FOLDER / "assembly-elsewhere.json").read_text(encoding="utf-8"))
    for section, change in changes.items():
        merged = {**data.get(section, {}), **change} if isinstance(change, dict) else change
        data[section] = {k: v for k, v in merged.items() if v is not None} if isinstance(merged, dict) else merged
    plan = make_plan(read(data), Unhurried())
    assert plan.audit is not None
    assert plan.audit.holds
    return plan


def test_a_crew_of_one_night_over_a_clock_change() -> None:
    """Saturday 27 March, 22:00 in New York, is Sunday 2:00 UTC: 3:00 here, where the clocks have just gone forward.
    Eight hours of four are 1,000 units in 4 h 10 and 920 more; the last 80 take 20 minutes a week later. What is ready
    leaves on Monday at 16:00 there, 21:00 here, for two days."""
    pot = {"parts": {"pot": 1}, "assembly_minutes": 1, "colourways": {"cream": {"pot": ["cream"]}}}
    place = {"time_zone": "America/New_York", "here_days": 2, "there_days": 1, "lot_parts": 1000, "lot_price": 30}
    plan = planned(
        start="2027-03-22T06:00", products={"pot": pot}, places={"mill house": place},
        assembly={"hours": {"sat": "22:00-06:00 x4"}},
        tiers={"one": {"units": {"pot": 1}, "pack_minutes": 0.4}},
    )  # fmt: skip
    assert [(f"{job.start:%d %H:%M}", f"{job.end:%d %H:%M}") for job in plan.assembly] == [
        ("28 03:00", "28 07:10"), ("28 07:10", "04 03:20")
    ]  # fmt: skip
    assert [f"{lot.visits[0].leaves:%a %d %H:%M} {lot.there:%a %d %H:%M}" for lot in plan.carried] == [
        "Mon 29 21:00 Wed 31 08:00", "Mon 05 21:00 Wed 07 08:00"
    ]  # fmt: skip


@pytest.mark.parametrize(("finished", "lots"), [(True, 0), (False, 2)])
def test_everything_in_stock(finished: bool, lots: int) -> None:
    """Nothing is moulded. What is finished lies where it is assembled; what is not travels there. 2,000 minutes at 11,
    800 at 18 an hour, and 30 for each lot there and each batch back."""
    stock = [{"colours": ["cream"], "count": 2000, "finished": finished}]
    plan = planned(parts={"pot": {"barrels": [{"resin": "pp", "mass_g": 50}], "stock": stock}})
    assert not plan.runs
    assert len(plan.finishing_lots) == lots
    assert len(plan.carried) == 2
    assert plan.outcome.total == pytest.approx(2000 / 60 * 11 + 800 / 60 * 18 + 30 * (2 + lots), abs=0.01)


def test_a_place_that_does_everything_sends_nothing_here() -> None:
    """Pots are moulded, assembled and packed at the mill house, and picked up there at 16:00, 14:00 here."""
    presses = json.loads((FOLDER / "assembly-elsewhere.json").read_text(encoding="utf-8"))["presses"]
    presses["big"]["place"] = "mill house"
    plan = planned(presses=presses, packing={"place": "mill house"})
    assert not plan.finishing_lots
    assert not plan.carried
    assert {f"{sent.at:%H:%M}" for sent in plan.dispatches} == {"14:00"}


def test_add_ons_alone_wait_for_no_lot() -> None:
    """Packing is at the mill house, assembly here: five orders of wicks are packed there at once, on Monday at 8:00
    there; pots come on Tuesday at 8:00 there at the soonest."""
    orders = [
        {"tier": "one", "units": {"pot": ["cream"]}, "count": 500},
        {"tier": "more", "extra_pieces": {"wick": 2}, "count": 5},
    ]
    plan = planned(
        assembly={"place": None}, packing={"place": "mill house"}, pieces={"wick": {"stock": 10}}, orders=orders,
        tiers={"more": {"pack_minutes": 1}},
    )  # fmt: skip
    begins = {batch.tier: f"{batch.start:%a %H:%M}" for batch in plan.batches}
    assert begins == {"more": "Mon 06:00", "one": "Tue 06:00"}
    assert [lot.units for lot in plan.carried] == [500]

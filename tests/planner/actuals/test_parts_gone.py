"""Orders in parts on the floor's log: what has left is not made again, and only the rest is packed."""

from datetime import datetime
from typing import Any

import pytest

from planner.actuals.entries import Actuals
from planner.actuals.remaining_campaign import from_here
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.errors import CampaignProblems
from planner.planning.make import make_plan
from planner.reading import read
from tests.support.reconciliation import _stock
from tests.support.split_campaign import campaign

BOWLS = {"what": "shots", "at": "2027-01-13T12:00", "press": "solo", "tool": "bowl"}


def log(*entries: dict[str, Any]) -> Actuals:
    """The floor's log up to a Monday in January."""
    return Actuals.model_validate({"as_of": "2027-01-18T06:00", "entries": list(entries)})


def packed(line: int, parcels: int, part: int | None) -> dict[str, Any]:
    """An entry for parcels packed."""
    return {"what": "packed", "at": "2027-01-15T12:00", "line": line, "parcels": parcels, "part": part}


def left(sets: Campaign) -> list[tuple[str, int, int]]:
    """(reference, orders, parcels gone of each)."""
    return [(line.ref, line.count, line.gone.parcels if line.gone else 0) for line in sets.orders]


@pytest.fixture(scope="module")
def now() -> Campaign:
    """Seventy cream bowls moulded, forty of them gone as first parts of line a, one whole order of line c."""
    made = BOWLS | {"colours": ["cream"], "shots": 35, "good": {"bowl": 70}, "done": True}
    return from_here(campaign(), None, log(made, packed(0, 40, 1), packed(2, 1, None))).campaign


def test_what_has_left_is_said_of_the_orders(now: Campaign) -> None:
    """Forty orders wait for their cups only; the others for everything; stock is what was not packed."""
    assert left(now) == [("a", 40, 1), ("a", 20, 0), ("b", 1, 0), ("c", 4, 0)]
    gone = now.orders[0].gone
    assert gone is not None
    assert (gone.units, gone.pieces) == ({"bowl": ["cream"]}, {"leaflet": 1})
    assert _stock(now, ("bowl", ("cream",))) == 70 - 41
    assert now.pieces["leaflet"].stock == 1000 - 41


def test_the_rest_is_planned_and_audited(now: Campaign) -> None:
    """The forty's second parcel is part 2 of 2 with its postage; bowls are not made for them again."""
    plan = make_plan(now, Unhurried())
    assert plan.audit is not None
    assert plan.audit.holds
    (second,) = [b for b in plan.batches if any(line.line == 0 for line in b.lines)]
    assert (second.part, second.parts, second.contents) == (2, 2, {"cup": {"cream": 1, "slate": 1}})
    needs = {(line.part, line.colours[0]): (line.ordered, line.to_mould) for line in plan.balance}
    assert needs["bowl", "cream"] == (24, 0)
    assert needs["cup", "slate"] == (62, 62)
    assert next(line.amount for line in plan.costs if line.what == "extra postage") == 61 * 2.5
    late = next(line.amount for line in plan.costs if line.what == "lateness")
    dates = {b.id: next(d.at.date() for d in plan.dispatches if d.id == b.dispatch) for b in plan.batches}
    due = datetime(2027, 1, 29).date()
    share = {1: 1 / 3, 2: 2 / 3}
    mine = sum(
        b.parcels * max(0, (dates[b.id] - due).days) * 2 * share[b.part] for b in plan.batches if b.tier == "set"
    )
    assert late == pytest.approx(mine)


def test_both_parts_packed_is_a_whole_order() -> None:
    """Ten orders with both parcels packed are done; parts packed out of order count as what they are."""
    sets = campaign()
    both = from_here(sets, None, log(packed(0, 40, 1), packed(0, 10, 2))).campaign
    assert left(both)[:2] == [("a", 30, 1), ("a", 20, 0)]
    cups_first = from_here(sets, None, log(packed(0, 5, 2))).campaign
    assert cups_first.orders[0].gone is not None
    assert cups_first.orders[0].gone.units == {"cup": ["cream", "slate"]}
    assert left(cups_first)[:2] == [("a", 5, 1), ("a", 55, 0)]


@pytest.mark.parametrize(
    ("entry", "field", "words"),
    [
        (packed(0, 61, 1), "parcels", "61 parcels of line 0 packed, 60 ordered"),
        (packed(0, 1, 3), "part", "no part 3 to go"),
        (packed(2, 1, 2), "part", "no part 2 to go"),
    ],
)
def test_a_log_that_cannot_be_is_refused(entry: dict[str, Any], field: str, words: str) -> None:
    """More than were ordered, and parts there are not, at their fields."""
    with pytest.raises(CampaignProblems) as refused:
        from_here(campaign(), None, log(entry))
    assert [(p.pointer, words in p.message) for p in refused.value.problems] == [(f"/entries/0/{field}", True)]


def test_what_has_left_must_have_been_ordered() -> None:
    """Gone units beyond the order, gone pieces that do not go with it, and orders that have got everything."""
    for gone, where in (
        ({"units": {"bowl": ["slate"]}}, "/orders/0/gone/units/bowl"),
        ({"pieces": {"leaflet": 2}}, "/orders/0/gone/pieces/leaflet"),
        ({"units": {"bowl": ["cream"], "cup": ["cream", "slate"]}}, "/orders/0/gone"),
    ):
        sets = campaign().model_dump(mode="json", exclude_defaults=True)
        sets["orders"][0]["gone"] = gone
        with pytest.raises(CampaignProblems) as refused:
            read(sets)
        assert [problem.pointer for problem in refused.value.problems] == [where]

"""Price breaks, part deliveries, second suppliers: by hand, against trying every size of an order, planned, audited."""

import copy
from datetime import date
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.campaign import Campaign
from planner.campaign.products import Piece
from planner.control import Unhurried
from planner.errors import CampaignProblems
from planner.material.piece_orders import cheapest_order, part_deliveries, price_at
from planner.plan.document import RunPlan
from planner.planning.make import make_plan
from planner.reading import read
from tests.support.assertions import broken_rules
from tests.support.finishing import pot_document

BREAKS = [{"pieces": 1000, "price": 0.4}, {"pieces": 2000, "price": 0.3}]


def test_more_is_ordered_where_that_costs_less() -> None:
    """By hand: 900 at 0.50 are 450; 1,000 at 0.40 are 400; 700 at 0.50 are 350. Packs of 300: 1,200 cost 480."""
    piece = Piece(price=0.5, lead_days=3, price_breaks=BREAKS)
    assert (cheapest_order(piece, 900).pieces, cheapest_order(piece, 900).price) == (1000, 0.4)
    assert (cheapest_order(piece, 700).pieces, cheapest_order(piece, 700).price) == (700, 0.5)
    assert cheapest_order(piece, 1600).pieces == 2000
    assert cheapest_order(piece.model_copy(update={"pack_of": 300}), 900).pieces == 900
    assert cheapest_order(piece, 0).pieces == 0


@given(
    st.integers(1, 400), st.integers(1, 30), st.integers(0, 200),
    st.dictionaries(st.integers(1, 500), st.sampled_from([0.1, 0.25, 0.3, 0.45]), max_size=4),
)  # fmt: skip
def test_no_other_number_of_packs_costs_less(short: int, pack: int, least: int, steps: dict[int, float]) -> None:
    """Every number of packs up to a thousand pieces is tried."""
    breaks = [{"pieces": n, "price": price} for n, price in steps.items()]
    piece = Piece.model_validate(
        {"price": 0.5, "lead_days": 3, "pack_of": pack, "min_order": least, "price_breaks": breaks}
    )
    found = cheapest_order(piece, short)
    could = [n for n in range(pack, 1100, pack) if n >= short and n >= least]
    assert found.pieces in could
    assert found.pieces * found.price == pytest.approx(min(n * price_at(piece, n) for n in could))


def test_part_deliveries_of_an_order() -> None:
    """By hand: 1,001 pieces, half after 5 days, the rest ten days later: 500 and 501."""
    comes = [{"after_days": 10, "share": 0.5}, {"after_days": 0, "share": 0.5}]
    piece = Piece.model_validate({"lead_days": 5, "comes_in": comes})
    assert part_deliveries(piece, 1001) == [(5, 500), (15, 501)]
    assert part_deliveries(Piece(lead_days=5), 7) == [(5, 7)]


def _document() -> dict[str, Any]:
    """A leaflet for each of 1,000 pots: 100 in stock, 200 in a hurry from a printer round the corner, the rest in two
    lots."""
    data = pot_document()
    data["pieces"] = {
        "leaflet": {
            "price": 0.2, "stock": 100, "lead_days": 7, "deposit_share": 0.5, "balance_days": 30,
            "price_breaks": [{"pieces": 750, "price": 0.15}],
            "comes_in": [{"after_days": 0, "share": 0.4}, {"after_days": 7, "share": 0.6}],
            "also_from": [{"supplier": "corner", "pieces": 200, "lead_days": 1, "price": 0.5}],
        }
    }  # fmt: skip
    data["tiers"]["one"]["pieces"] = {"leaflet": 1}
    return data


@pytest.fixture(scope="module")
def good() -> tuple[Campaign, RunPlan]:
    campaign = read(_document())
    return campaign, make_plan(campaign, Unhurried())


def test_a_plan_with_all_of_it(good: tuple[Campaign, RunPlan]) -> None:
    """By hand: 700 are missing; 750 at 0.15 cost 112.50, 700 at 0.20 140. 300 come on the 18th, 450 on the 25th. 1,000
    used at 0.15 and 200 x 0.35 beyond that; 50 left, 7.50. The corner is paid half on the first day, the rest 31 days
    later. What is packed before the 18th has a leaflet of the first 300."""
    _, plan = good
    assert plan.audit is not None
    assert plan.audit.holds
    (line,) = plan.pieces
    assert (line.bought, line.price, line.arriving, line.left_over) == (750, 0.15, 200, 50)
    assert [(lot.on, lot.pieces) for lot in line.lots] == [(date(2027, 1, 18), 300), (date(2027, 1, 25), 450)]
    assert line.order_by == date(2027, 1, 11)
    cost = {one.what: one.amount for one in plan.costs}
    assert cost["bought-in pieces"] == pytest.approx(1000 * 0.15 + 200 * 0.35)
    assert cost["unused minimum orders"] == pytest.approx(50 * 0.15)
    corner = [(one.on, one.amount) for one in plan.cash if one.of == "leaflet from corner"]
    assert corner == [(date(2027, 1, 11), pytest.approx(50)), (date(2027, 2, 11), pytest.approx(50))]
    early = sum(batch.parcels for batch in plan.batches if batch.start.date() < date(2027, 1, 18))
    assert 200 <= early <= 300
    assert max(batch.start for batch in plan.batches).date() >= date(2027, 1, 25)


def test_from_the_start_it_costs_least(good: tuple[Campaign, RunPlan]) -> None:
    """Without the corner everything waits a week: 100 parcels can go before, not 300."""
    data = _document()
    del data["pieces"]["leaflet"]["also_from"]
    plan = make_plan(read(data), Unhurried())
    assert sum(batch.parcels for batch in plan.batches if batch.start.date() < date(2027, 1, 18)) <= 100


SPOILS: dict[str, tuple[str, str, Any]] = {
    "other prices": ("A11", "price_breaks", []),
    "nothing from the corner": ("A8", "also_from", []),
    "all of it later": ("A8", "comes_in", [{"after_days": 20, "share": 1}]),
    "parts of it on other days": (
        "A11",
        "comes_in",
        [{"after_days": 0, "share": 0.4}, {"after_days": 6, "share": 0.6}],
    ),
    "paid at once": ("A12", "deposit_share", 1),
}


@pytest.mark.parametrize("name", SPOILS)
def test_a_spoilt_plan_is_caught(name: str, good: tuple[Campaign, RunPlan]) -> None:
    campaign, plan = good
    rule, field, value = SPOILS[name]
    data = campaign.model_dump(mode="json", by_alias=True, exclude_unset=True)
    data["pieces"]["leaflet"][field] = value
    assert rule in broken_rules(Campaign.model_validate(data), plan)


def test_a_dearer_corner_is_caught(good: tuple[Campaign, RunPlan]) -> None:
    campaign, plan = good
    data = campaign.model_dump(mode="json", by_alias=True, exclude_unset=True)
    data["pieces"]["leaflet"]["also_from"][0]["price"] = 0.6
    assert "A12" in broken_rules(Campaign.model_validate(data), plan)


@pytest.mark.parametrize(
    ("field", "value", "pointer"),
    [
        ("comes_in", [{"after_days": 0, "share": 0.4}], "/pieces/leaflet/comes_in"),
        ("lead_days", None, "/pieces/leaflet"),
        ("price_breaks", [{"pieces": 5, "price": 1}, {"pieces": 5, "price": 2}], "/pieces/leaflet/price_breaks"),
    ],
)
def test_what_makes_no_sense_is_refused(field: str, value: Any, pointer: str) -> None:
    data = copy.deepcopy(_document())
    data["pieces"]["leaflet"][field] = value
    with pytest.raises(CampaignProblems) as refused:
        read(data)
    assert pointer in [problem.pointer for problem in refused.value.problems]

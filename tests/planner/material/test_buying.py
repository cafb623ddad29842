"""The buying list: quantities, order-by dates, what waits."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.material import (
    Delivery,
    PieceTerms,
    PieceUse,
    WeightTerms,
    WeightUse,
    buy_by_weight,
    buy_pieces,
)
from planner.material.buying import order_by, order_quantity

LONDON = ZoneInfo("Europe/London")
START = datetime(2027, 1, 11, 6, 0, tzinfo=LONDON)


def at(day: int, hour: int = 6, minute: int = 0) -> datetime:
    return datetime(2027, 1, day, hour, minute, tzinfo=LONDON)


@pytest.mark.parametrize(
    ("need", "pack", "minimum", "bought"),
    [(0, 25, 100, 0), (0.1, 25, 0, 25), (25, 25, 0, 25), (25.0000001, 25, 0, 25), (26, 25, 0, 50), (26, 25, 60, 75)],
)
def test_orders_are_whole_bags_and_reach_the_minimum(need, pack, minimum, bought):
    """0.1 micrograms of rounding buys no bag; a real gram does."""
    assert order_quantity(need, pack, minimum) == bought


def test_order_by_is_first_short_use_less_drying_less_lead():
    """Stock covers the first run; the second needs it dried 4 h, so at the door the day before."""
    uses = [WeightUse("r1", at(12), 20), WeightUse("r2", at(20), 15, 1, 2)]
    buy = buy_by_weight(uses, WeightTerms(stock_kg=25, lead_days=7, drying_hours=4, price_per_kg=2), START)
    assert (buy.used_kg, buy.bought_kg, buy.left_over_kg) == (38, 25, 12)
    assert buy.left_over_cost == pytest.approx(24)
    assert buy.first_use == at(12)
    assert buy.short_from == at(20)
    assert buy.order_by == date(2027, 1, 12)
    assert buy.if_late == "Run r2 (Wed 20 Jan 2027 06:00) must wait until it is dried and there."


def test_the_hour_that_happens_twice_is_told_apart():
    """31 October 2027, 01:30 comes twice: a delivery at the second one is not there at the first."""
    first, second = (datetime(2027, 10, 31, 1, 30, tzinfo=LONDON, fold=fold) for fold in (0, 1))
    late = WeightTerms(deliveries=(Delivery(second, 10),), lead_days=1)
    assert buy_by_weight([WeightUse("r1", first, 10)], late, START).bought_kg == 25
    assert buy_by_weight([WeightUse("r1", second, 10)], late, START).bought_kg == 0


def test_what_is_ordered_on_the_start_day_can_be_used_when_it_arrives():
    """An order on the start day comes `lead_days` later at the start's wall-clock time."""
    assert order_by(at(18, 6), 7, START.time()) == date(2027, 1, 11)
    assert order_by(at(18, 5, 59), 7, START.time()) == date(2027, 1, 10)


def test_lead_days_are_calendar_days_across_a_clock_change():
    """27 to 29 March 2027 spans the spring change: two calendar days, 47 hours."""
    assert order_by(datetime(2027, 3, 29, 6, tzinfo=LONDON), 2, START.time()) == date(2027, 3, 27)


def test_a_delivery_too_late_to_be_dried_does_not_count_and_is_bought():
    """A delivery at 04:00 for a 06:00 start that dries 3 hours is not there."""
    uses = [WeightUse("r1", at(14), 10)]
    late = WeightTerms(deliveries=(Delivery(at(14, 4), 10),), lead_days=1, drying_hours=3)
    in_time = WeightTerms(deliveries=(Delivery(at(14, 3), 10),), lead_days=1, drying_hours=3)
    assert buy_by_weight(uses, late, START).bought_kg == 25
    assert buy_by_weight(uses, in_time, START).bought_kg == 0


def test_regrind_comes_off_the_use_but_no_start_counts_on_it():
    """30 kg moulded with 6 kg regrind: 24 used, two bags bought all the same."""
    buy = buy_by_weight([WeightUse("r1", at(12), 30)], WeightTerms(lead_days=0, price_per_kg=1), START, regrind_kg=6)
    assert (buy.used_kg, buy.bought_kg, buy.left_over_kg, buy.left_over_cost) == (24, 50, 26, 26)


def test_restarts_are_bought_but_hold_up_no_start():
    """20 kg in stock let the run start; 3 kg of restarts must be bought, ordered on the first day at the earliest."""
    buy = buy_by_weight([WeightUse("r1", at(12), 20, restart_kg=3)], WeightTerms(stock_kg=20, lead_days=5), START)
    assert (buy.startup_kg, buy.used_kg, buy.bought_kg) == (3, 23, 25)
    assert buy.order_by == date(2027, 1, 11)


def test_restarts_of_a_run_are_gone_for_the_next():
    """20 kg, 18 for the first run, 3 in its restarts: the second finds nothing left, though it needs but 1 kg."""
    uses = [WeightUse("r1", at(12), 18, restart_kg=3), WeightUse("r2", at(18), 1)]
    buy = buy_by_weight(uses, WeightTerms(stock_kg=20, lead_days=2, bag_kg=1), START)
    assert (buy.bought_kg, buy.short_from, buy.order_by) == (2, at(18), date(2027, 1, 16))


def test_nothing_can_be_bought_without_lead_days():
    """The shortage shows as a negative rest, for the audit to find."""
    buy = buy_by_weight([WeightUse("r1", at(12), 30)], WeightTerms(stock_kg=10), START)
    assert (buy.bought_kg, buy.left_over_kg, buy.order_by) == (0, -20, None)


def test_pieces_by_pack_and_minimum():
    """130 leaflets, 20 in stock: 110 short, sold in 50s, at least 200."""
    uses = [PieceUse("a1", at(13), 20), PieceUse("a2", at(14), 60), PieceUse("a3", at(15), 50)]
    buy = buy_pieces(uses, PieceTerms(price=0.1, stock=20, lead_days=2, pack_of=50, min_order=200), START)
    assert (buy.used, buy.bought, buy.left_over) == (130, 200, 90)
    assert buy.left_over_cost == pytest.approx(9)
    assert buy.order_by == date(2027, 1, 12)
    assert buy.if_late == "Job a2 (Thu 14 Jan 2027 06:00) and 1 more job after it must wait until they are there."


def test_nothing_used_nothing_bought():
    """An unused piece has no dates, and its stock is left over."""
    buy = buy_pieces([], PieceTerms(stock=5, lead_days=1), START)
    assert (buy.bought, buy.left_over, buy.first_use, buy.order_by) == (0, 5, None, None)


@given(
    st.lists(st.tuples(st.integers(12, 30), st.floats(0.1, 50)), min_size=1, max_size=8),
    st.lists(st.tuples(st.integers(1, 31), st.floats(1, 40)), max_size=4),
    st.floats(0, 60),
    st.floats(0.5, 30),
)
def test_what_is_bought_always_covers_every_start(uses, deliveries, stock, bag):
    """With the order at the door in time, no start is short; one bag less and some start would be."""
    terms = WeightTerms(
        stock_kg=stock, deliveries=tuple(Delivery(at(d), kg) for d, kg in deliveries), lead_days=0, bag_kg=bag
    )
    buy = buy_by_weight([WeightUse(f"r{i}", at(d), kg) for i, (d, kg) in enumerate(uses)], terms, START)

    def worst(bought):
        """Smallest rest over all days, all taken on a day before the rest is read."""
        return min(
            stock + bought + sum(k for e, k in deliveries if e <= d) - sum(k for e, k in uses if e <= d)
            for d, _ in uses
        )

    assert worst(buy.bought_kg) >= -1e-5
    if buy.bought_kg:
        assert worst(buy.bought_kg - bag) < 1e-5


def test_what_is_bought_and_not_used_counts_what_arrives_first():
    """By hand: 10 kg arrive, 20 are used: of the 25 bought, 10 are used and 15 are left, at 2 each."""
    uses = [WeightUse("r1", at(12), 10), WeightUse("r2", at(20), 10)]
    terms = WeightTerms(deliveries=(Delivery(at(11), 10),), lead_days=1, price_per_kg=2)
    buy = buy_by_weight(uses, terms, START)
    assert (buy.arriving_kg, buy.bought_kg, buy.left_over_kg) == (10, 25, 15)
    assert buy.left_over_cost == pytest.approx(30)

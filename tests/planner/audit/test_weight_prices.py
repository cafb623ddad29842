"""Prices that fall with the order (RULES.md, M1.2), worked out by hand: 25 kg bags at 4.00; from 100 kg on 3.00."""

from fractions import Fraction

import pytest

from planner.audit.weight_prices import _order
from planner.campaign.materials import Resin


def resin(**said) -> Resin:
    breaks = [{"kg": 100, "price_per_kg": 3.0}, {"kg": 500, "price_per_kg": 2.0}]
    return Resin.model_validate({"price_per_kg": 4.0, "bag_kg": 25, "price_breaks": breaks} | said)


@pytest.mark.parametrize(
    ("moulded", "said", "price", "raised"),
    [
        (50, {}, 4.0, None),  # two bags cost 200, a hundred kg 300
        (75, {}, 4.0, None),  # three cost 300, a hundred kg the same: the smaller order
        (76, {}, 3.0, None),  # four bags are a hundred kg
        (100, {}, 3.0, None),
        (325, {}, 3.0, None),  # 13 bags cost 975, 500 kg 1000
        (326, {}, 2.0, 500.0),  # 14 bags cost 1050, 500 kg 1000
        (510, {}, 2.0, None),
        (50, {"min_order_kg": 100}, 3.0, None),
        (350, {"stock_kg": 25.0}, 3.0, None),  # 325 kg are short
        (351, {"stock_kg": 25.0}, 2.0, 500.0),
        (20, {"stock_kg": 20.0}, 4.0, None),
        (150, {"arrivals": [{"on": "2027-01-10", "amount": 150}]}, 3.0, None),
        (150, {"arrivals": [{"on": "2027-01-10", "amount": 150}], "stock_kg": 1}, 3.0, None),
    ],
)
def test_an_order_is_as_large_as_costs_least(moulded, said, price, raised):
    """Whole bags; of two that cost the same the smaller one. What is agreed on has the price of its own size."""
    expected = {"price_per_kg": price} | ({} if raised is None else {"min_order_kg": raised})
    assert _order(resin(**said), Fraction(moulded)) == expected


def test_without_price_breaks_nothing_changes():
    assert _order(resin(price_breaks=[]), Fraction(900)) == {}

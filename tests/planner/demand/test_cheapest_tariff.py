"""Which tariff a parcel goes by, worked out by hand."""

import pytest

from planner.dispatch.rates import Tariff, cheapest, for_country

HOME = Tariff(0, frozenset({"DE"}), ((1.0, 4.0), (5.0, 7.0)), (1, 2))
NEAR = Tariff(1, frozenset({"DE", "AT"}), ((2.0, 5.0), (10.0, 9.0)), None)
REST = Tariff(2, None, ((5.0, 12.0),), (3, 9))


@pytest.mark.parametrize(("country", "numbers"), [("DE", [0, 1]), ("AT", [1]), ("FR", [2])])
def test_who_names_a_country_goes_before_who_names_nobody(country, numbers):
    assert [one.number for one in for_country([REST, HOME, NEAR], country)] == numbers


@pytest.mark.parametrize(
    ("kg", "found"),
    [
        (0.0, (0, 4.0)), (1.0, (0, 4.0)), (1.0 + 1e-10, (0, 4.0)), (1.001, (1, 5.0)), (2.0, (1, 5.0)),
        (2.001, (0, 7.0)), (5.0, (0, 7.0)), (5.001, (1, 9.0)), (10.0, (1, 9.0)), (10.001, None),
    ],
)  # fmt: skip
def test_the_cheapest_that_takes_the_weight(kg, found):
    """A step's own weight is in it, and a hair of a float; the first of equals."""
    one = cheapest([HOME, NEAR], kg)
    assert (one and (one.tariff.number, one.price)) == found
    assert cheapest([], kg) is None
    twin = Tariff(9, None, HOME.steps, None)
    if kg <= 5.0:
        assert cheapest([twin, HOME], kg).tariff is twin

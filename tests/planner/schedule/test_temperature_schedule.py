"""How warm the chain is as the budget goes by."""

import pytest

from planner.schedule.temperature_schedule import COLD, HOT, STARTS, Place, place_of, starts_of, temperature, unit_of


def test_a_large_budget_on_several_presses_is_worth_several_starts() -> None:
    assert starts_of(60.0, 2) == len(STARTS) == 4
    assert starts_of(59.9, 2) == 0
    assert starts_of(1000.0, 1) == 0


def test_the_first_half_goes_to_the_starts_and_the_rest_goes_on_from_the_best() -> None:
    """Eighths of the budget, one cooling each; then the coolings of a small budget, in half the time."""
    assert place_of(0.0, 4) == Place(0, 0, 0.0)
    assert place_of(0.1875, 4) == Place(1, 0, 0.5)
    assert place_of(0.499, 4).start == 3
    assert place_of(0.5, 4) == Place(4, 0, 0.0)
    for share in (0.0, 0.3, 0.5, 0.8, 1.0):
        small = place_of(share, 0)
        assert place_of(0.5 + share / 2, 4) == Place(4, small.cooling, pytest.approx(small.share))


def test_each_start_cools_from_its_own_warmth_by_as_much() -> None:
    for n, warmth in enumerate(STARTS):
        assert temperature(n / 8, 100.0, 4) == pytest.approx(100.0 * HOT * warmth)
        assert temperature((n + 0.999999) / 8, 100.0, 4) == pytest.approx(100.0 * COLD * warmth, rel=1e-3)


def test_a_small_budget_cools_once_and_twice_again_from_half_as_warm() -> None:
    heats = [temperature(share, 1.0) for share in (0.0, 0.499999, 0.5, 0.749999, 0.75, 1.0)]
    assert heats == pytest.approx([HOT, COLD, HOT / 2, COLD, HOT / 2, COLD], rel=1e-3)
    assert temperature(0.25, 1.0) == pytest.approx((HOT * COLD) ** 0.5)


def test_one_press_is_a_third_as_warm() -> None:
    assert unit_of(30.0, 1) == pytest.approx(10.0)
    assert unit_of(30.0, 2) == 30.0

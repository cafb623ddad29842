"""Shots, minutes and money of a purge."""

import numpy as np
import pytest

from planner.purge.cost import PurgePrices, purge_minutes, purge_shots


def test_shots_are_rounded_up() -> None:
    assert purge_shots([0.0, 0.001, 0.3, 0.301], 100.0).tolist() == [0, 1, 3, 4]


def test_no_shot_is_added_by_rounding() -> None:
    """Whole multiples of the shot give exactly that many shots, where dividing would overshoot."""
    for shot in (0.3, 2.3, 7.0, 42.1):
        counts = np.arange(1, 2000)
        assert (purge_shots(counts * shot / 1000, shot) == counts).all()


def test_minutes_are_shots_times_cycle() -> None:
    assert purge_minutes(np.array([0, 90]), 20.0).tolist() == [0.0, 30.0]


def test_money_counts_melt_compound_disposal_press_and_setter() -> None:
    prices = PurgePrices(melt_per_kg=4, compound_per_kg=15, disposal_per_kg=0.5, press_per_hour=60, setter_per_hour=30)
    assert float(prices.money(3.0, 20.0, compound_kg=1.0)) == pytest.approx(2 * 4 + 15 + 1.5 + 20 + 10)


def test_a_shot_without_mass_and_a_cycle_without_time_are_refused() -> None:
    with pytest.raises(ValueError, match="shot mass"):
        purge_shots(1.0, 0.0)
    with pytest.raises(ValueError, match="purge cycle"):
        purge_minutes(1, 0.0)

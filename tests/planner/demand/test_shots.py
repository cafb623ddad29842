"""Shots for enough good parts, surely enough."""

import pytest
from scipy import stats

from planner.demand.shots import chance_of_enough, shots_for, start_quantity


@pytest.mark.parametrize(("confidence", "quantity"), [(0.5, 1052), (0.9, 1062), (0.95, 1065), (0.99, 1071)])
def test_a_thousand_good_at_five_per_cent_scrap(confidence: float, quantity: int) -> None:
    """Trade check value (computed): negative-binomial start quantities for 1000 good at 5 % scrap."""
    assert start_quantity(1000, 0.05, confidence) == quantity


def test_even_odds_ask_for_groovers_start_quantity_and_a_plan_for_more() -> None:
    """Groover, Fundamentals of Modern Manufacturing: Q / (1 - q) on average, 1052.6 for 1000 good at 5 % scrap."""
    assert start_quantity(1000, 0.05, 0.5) == pytest.approx(1052.63, abs=1)
    assert start_quantity(1000, 0.05, 0.95) > 1052.63 + 10


@pytest.mark.parametrize("needed", [1, 2, 7, 40, 333, 5000])
@pytest.mark.parametrize("scrap", [0.001, 0.02, 0.3])
@pytest.mark.parametrize("confidence", [0.5, 0.95, 0.999])
def test_start_quantity_equals_scipys_negative_binomial_quantile(needed: int, scrap: float, confidence: float) -> None:
    """scipy.stats.nbinom counts the scrapped parts before the Q-th good one."""
    quantile = needed + int(stats.nbinom.ppf(confidence, needed, 1 - scrap))
    assert start_quantity(needed, scrap, confidence) == quantile


@pytest.mark.parametrize(("moulded", "needed", "scrap"), [(10, 10, 0.02), (12, 10, 0.1), (2000, 1900, 0.04)])
def test_chance_equals_scipys_binomial(moulded: int, needed: int, scrap: float) -> None:
    """P(good >= needed) of scipy.stats.binom."""
    assert chance_of_enough(moulded, needed, scrap) == pytest.approx(
        stats.binom.sf(needed - 1, moulded, 1 - scrap), abs=1e-12
    )


def test_whole_shots_give_every_cavity() -> None:
    """Two cavities: half the start quantity, rounded up; and no fewer shots would do."""
    shots = shots_for(1000, 2, 0.05, 0.95)
    assert shots == 533
    assert chance_of_enough(2 * (shots - 1), 1000, 0.05) < 0.95 <= chance_of_enough(2 * shots, 1000, 0.05)


def test_nothing_needed_asks_for_no_shot() -> None:
    assert shots_for(0, 4, 0.02, 0.95) == 0

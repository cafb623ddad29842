"""The auditor's binomial sums against scipy and against published start quantities."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom

from planner.audit.chance import chance_of_enough, shots_for
from tests.support.sampled import examples


@given(st.integers(0, 4000), st.integers(0, 4000), st.floats(0, 0.6))
@settings(max_examples=examples(150), deadline=None)
def test_chance_of_enough_against_scipy(parts: int, good: int, scrap: float) -> None:
    """P(good >= needed) as scipy's binomial survival function gives it."""
    assert chance_of_enough(parts, good, scrap) == pytest.approx(binom.sf(good - 1, parts, 1 - scrap), abs=1e-9)


@pytest.mark.parametrize(("confidence", "shots"), [(0.5, 1052), (0.9, 1062), (0.95, 1065), (0.99, 1071)])
def test_start_quantity_of_1000_good_at_5_percent_scrap(confidence: float, shots: int) -> None:
    """Start quantities by the negative binomial (computed; the expected one, 1000 / .95, is Groover's sum)."""
    assert shots_for(1000, 1, 0.05, confidence) == shots


@given(st.integers(1, 600), st.integers(1, 8), st.floats(0, 0.4), st.floats(0.5, 0.999))
@settings(max_examples=examples(100), deadline=None)
def test_shots_are_the_fewest(good: int, cavities: int, scrap: float, confidence: float) -> None:
    """Enough with so many shots, not with one fewer, by scipy's sums."""
    shots = shots_for(good, cavities, scrap, confidence)
    assert binom.sf(good - 1, shots * cavities, 1 - scrap) >= confidence - 1e-9
    assert binom.sf(good - 1, (shots - 1) * cavities, 1 - scrap) < confidence + 1e-9

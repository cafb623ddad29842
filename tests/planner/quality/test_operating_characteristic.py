"""Our operating characteristic against scipy's distributions and against MIL-STD-105E table X-J."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom, hypergeom

from planner.quality.operating import chance_accepted, chance_lot_accepted, characteristic, share_bad_at
from tests.support.sampled import examples


@pytest.mark.parametrize(("percent", "chance"), [(1.03, 95.0), (3.33, 50.0), (6.52, 10.0)])
def test_letter_j_aql_1_as_tabulated(percent: float, chance: float) -> None:
    """Table X-J of MIL-STD-105E, n 80 Ac 2: 1.03 / 3.33 / 6.52 % bad pass 95 / 50 / 10 times in 100."""
    assert 100 * share_bad_at(80, 2, chance / 100) == pytest.approx(percent, abs=0.006)
    # the table rounds the share to 0.01, which moves the chance by less than 0.1 in 100
    assert 100 * chance_accepted(80, 2, percent / 100) == pytest.approx(chance, abs=0.1)


@settings(max_examples=examples(200), deadline=None)
@given(st.integers(1, 2000), st.integers(0, 21), st.floats(0, 1))
def test_binomial_equals_scipy(n: int, accept: int, share: float) -> None:
    """Type B curve, any plan: equal to scipy.stats.binom.cdf."""
    assert chance_accepted(n, accept, share) == pytest.approx(binom.cdf(accept, n, share), rel=1e-8, abs=1e-11)


@settings(max_examples=examples(200), deadline=None)
@given(st.data())
def test_hypergeometric_equals_scipy(data: st.DataObject) -> None:
    """Type A, lots below and above where the sum changes from integers to logarithms."""
    lot = data.draw(st.integers(1, 20_000))
    bad = data.draw(st.integers(0, lot))
    n = data.draw(st.integers(1, min(lot, 2000)))
    accept = data.draw(st.integers(0, 21))
    ours = chance_lot_accepted(lot, bad, n, accept)
    assert ours == pytest.approx(hypergeom.cdf(accept, lot, bad, n), rel=1e-7, abs=1e-9)


def test_curve_falls_from_certainty() -> None:
    """The picture's points start at certain acceptance and never rise."""
    curve = characteristic(80, 2)
    chances = [chance for _, chance in curve.points]
    assert chances[0] == 1.0
    assert chances == sorted(chances, reverse=True)
    assert chances[-1] == pytest.approx(0.02, abs=1e-6)
    assert curve.producer < curve.indifferent < curve.consumer


def test_impossible_plans_are_refused() -> None:
    """Samples larger than the lot, shares beyond 0..1 and empty samples are errors."""
    with pytest.raises(ValueError, match="cannot hold"):
        chance_lot_accepted(10, 1, 11, 0)
    with pytest.raises(ValueError, match="between 0 and 1"):
        chance_accepted(10, 0, 1.1)
    with pytest.raises(ValueError, match="n >= 1"):
        chance_accepted(0, 0, 0.1)
    with pytest.raises(ValueError, match="between 0 and 1"):
        share_bad_at(10, 0, 1.0)

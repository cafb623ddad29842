"""Sampled distributions against scipy (an independent library), and draws that are common to all variants."""

import numpy as np
import pytest
from scipy import stats

from planner.campaign.uncertainty import Fitted, ThreePoint, beta_shape
from planner.promise.quantiles import normal, quantiles
from planner.promise.random_streams import uniforms

REPLICATIONS = 20_000
THREE = [(2, 3, 7), (0, 0, 10), (1, 4, 4.5), (-3, 0, 3), (5, 8, 17)]


@pytest.mark.parametrize("points", THREE)
@pytest.mark.parametrize("shape", ["triangular", "beta-pert", "pert"])
def test_three_points_are_distributed_as_scipy_has_it(points, shape):
    """Kolmogorov-Smirnov of 20,000 draws; the shape of beta-PERT from its definition, of PERT from its moments."""
    early, likely, late = points
    spread = ThreePoint(early=early, likely=likely, late=late, shape=shape)
    if shape == "triangular":
        exact = stats.triang((likely - early) / (late - early), early, late - early)
    else:
        exact = stats.beta(*beta_shape(spread), early, late - early)
    drawn = quantiles(spread, uniforms(11, f"{points} {shape}", REPLICATIONS))
    assert stats.kstest(drawn, exact.cdf).pvalue > 0.01
    chance = np.linspace(0.001, 0.999, 500)
    assert np.abs(quantiles(spread, chance) - exact.ppf(chance)).max() < 1e-4 * (late - early)


@pytest.mark.parametrize("points", THREE)
def test_pert_has_the_mean_and_deviation_of_the_method(points):
    """(a + 4m + b) / 6 and (b - a) / 6: Malcolm and others, Operations Research 7(5), 1959."""
    early, likely, late = points
    exact = stats.beta(*beta_shape(ThreePoint(early=early, likely=likely, late=late, shape="pert")))
    assert early + (late - early) * exact.mean() == pytest.approx((early + 4 * likely + late) / 6)
    assert (late - early) * exact.std() == pytest.approx((late - early) / 6)


def test_a_wrong_shape_would_be_noticed():
    """The test above can fail: triangular draws are not beta-PERT."""
    drawn = quantiles(ThreePoint(early=2, likely=3, late=7, shape="triangular"), uniforms(1, "x", REPLICATIONS))
    exact = stats.beta(*beta_shape(ThreePoint(early=2, likely=3, late=7)), 2, 5)
    assert stats.kstest(drawn, exact.cdf).pvalue < 1e-6


def test_normal_quantiles_out_to_the_tails():
    """Against scipy, from one in 10^15 to all but one in 10^15, and symmetric."""
    chance = np.concatenate([10.0 ** np.arange(-15, -1), np.linspace(0.01, 0.99, 99)])
    assert normal(chance) == pytest.approx(stats.norm.ppf(chance), rel=1e-13, abs=1e-15)
    assert normal(1 - chance[14:]) == pytest.approx(-normal(chance[14:]), rel=1e-12, abs=1e-14)


@pytest.mark.parametrize("shape", ["normal", "lognormal"])
def test_fitted_ones_too(shape):
    drawn = quantiles(Fitted(shape=shape, mean=1.1, sd=0.2), uniforms(3, shape, REPLICATIONS))
    width = np.sqrt(np.log1p((0.2 / 1.1) ** 2))
    exact = stats.norm(1.1, 0.2) if shape == "normal" else stats.lognorm(width, scale=1.1 * np.exp(-(width**2) / 2))
    assert stats.kstest(drawn, exact.cdf).pvalue > 0.01


def test_draws_are_uniform_and_independent():
    one, other = uniforms(5, "one", REPLICATIONS), uniforms(5, "other", REPLICATIONS)
    assert stats.kstest(one, "uniform").pvalue > 0.01
    assert abs(np.corrcoef(one, other)[0, 1]) < 4 / np.sqrt(REPLICATIONS)
    assert abs(np.corrcoef(one[1:], one[:-1])[0, 1]) < 4 / np.sqrt(REPLICATIONS)


def test_a_replication_keeps_its_draws_when_there_are_more():
    assert (uniforms(5, "one", 100) == uniforms(5, "one", 1000)[:100]).all()
    assert (uniforms(6, "one", 100) != uniforms(5, "one", 100)).any()


def test_three_points_must_rise():
    with pytest.raises(ValueError, match="must rise"):
        ThreePoint(early=3, likely=2, late=4)

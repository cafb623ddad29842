"""Enough good parts over all that scrap may be: against scipy, by the auditor's other sum, and by drawing."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate, stats

from planner.audit import audit
from planner.audit.chance import SLACK, chance
from planner.campaign import Campaign
from planner.campaign.common_case import common_case
from planner.campaign.uncertainty import Fitted, Spread, ThreePoint, beta_shape
from planner.control import Unhurried
from planner.demand.scrap import at_most, chance_of_good, chance_over, scrap_law, shots_of
from planner.demand.shots import shots_for
from planner.planning.make import make_plan
from planner.promise.quantiles import quantiles
from tests.support.carton_campaign import campaign, document
from tests.support.sampled import examples

USUAL = ThreePoint(early=0.01, likely=0.02, late=0.06)
"""The common case of 2 % scrap: half to three times as much."""

LAWS: list[Spread] = [
    USUAL,
    ThreePoint(early=0.01, likely=0.01, late=0.06, shape="pert"),
    ThreePoint(early=0, likely=0.02, late=0.4, shape="triangular"),
    ThreePoint(early=-0.1, likely=0.02, late=1.4),
    Fitted(shape="normal", mean=0.03, sd=0.02),
    Fitted(shape="lognormal", mean=0.03, sd=0.02),
]


@pytest.mark.parametrize(("moulded", "needed"), [(3, 3), (10, 6), (100, 60), (1000, 500), (5000, 4000)])
def test_a_beta_law_gives_scipys_beta_binomial(moulded: int, needed: int) -> None:
    """scipy.stats.betabinom counts the scrapped ones; nearly nothing of the law lies above 0.95."""
    law = ThreePoint(early=0, likely=0.1, late=1)
    expected = stats.betabinom.cdf(moulded - needed, moulded, *beta_shape(law))
    assert chance_over(law, moulded, needed) == pytest.approx(expected, abs=1e-6)
    assert chance(law, moulded, needed, 0.1) == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize(("moulded", "needed"), [(1, 1), (21, 20), (515, 500), (5150, 5000)])
def test_a_law_on_a_narrow_range_gives_scipys_integral(moulded: int, needed: int) -> None:
    """Binomial mixed over the beta on 1 % to 6 %, by adaptive quadrature."""

    def of(share: float) -> float:
        at = (share - 0.01) / 0.05
        return float(stats.beta.pdf(at, *beta_shape(USUAL)) / 0.05 * stats.binom.cdf(moulded - needed, moulded, share))

    steep = (moulded - needed) / moulded
    expected, _ = integrate.quad(of, 0.01, 0.06, points=[min(max(steep, 0.011), 0.059)], limit=400, epsabs=1e-11)
    assert chance_over(USUAL, moulded, needed) == pytest.approx(expected, abs=1e-6)


@given(st.sampled_from(LAWS), st.integers(1, 20_000), st.floats(0, 0.6))
@settings(max_examples=examples(120), deadline=None)
def test_the_auditors_other_sum_agrees(law: Spread, needed: int, more: float) -> None:
    moulded = int(needed * (1 + more))
    assert abs(chance(law, moulded, needed, 0.02) - chance_over(law, moulded, needed)) < SLACK


@pytest.mark.parametrize("law", LAWS, ids=lambda law: f"{type(law).__name__} {law.shape}")
def test_the_law_is_the_one_the_promise_draws_from(law: Spread) -> None:
    even = (np.arange(200) + 0.5) / 200
    drawn = np.clip(quantiles(law, even), 0, 0.95)
    inside = (drawn > 0) & (drawn < 0.95)
    assert at_most(law, drawn[inside]) == pytest.approx(even[inside], abs=3e-4)


def test_the_quantity_for_known_scrap_is_not_enough_that_surely() -> None:
    """1000 good at 2 %: 1028 are enough with 95 % if scrap is just 2 %, and with some 64 % over the common case."""
    known = shots_for(1000, 1, 0.02, 0.95)
    assert known == 1028
    assert 0.6 < chance_over(USUAL, known, 1000) < 0.68
    bowls = campaign()
    tool = next(iter(bowls.tools))
    parts = shots_of(bowls, tool, 1, 1000)
    assert parts > known
    assert chance_of_good(bowls, tool, parts, 1000) >= 0.95 > chance_of_good(bowls, tool, parts - 1, 1000)


def test_drawn_campaigns_have_enough_that_often() -> None:
    """Twenty thousand campaigns with scrap by the law and good parts by the binomial: 95 in 100 have enough."""
    rng = np.random.default_rng(7)
    scrap = quantiles(USUAL, rng.random(20_000))
    parts = shots_for(1000, 1, 0.02, 0.95)
    while chance_over(USUAL, parts, 1000) < 0.95:
        parts += 1
    good = rng.binomial(parts, 1 - scrap)
    assert (good >= 1000).mean() == pytest.approx(0.95, abs=0.006)


def test_which_law_a_tool_has() -> None:
    """The campaign's own; the common case where it says nothing; none by choice, or where scrap is not named."""
    tool = next(iter(campaign().tools))
    assert scrap_law(campaign(), tool) == common_case(campaign()).tools[tool].scrap_share
    assert scrap_law(campaign(scrap_taken="known"), tool) is None
    assert scrap_law(campaign(uncertainty={"tools": {}}), tool) is None
    own = {"tools": {tool: {"scrap_share": {"early": 0.01, "likely": 0.03, "late": 0.2}}}}
    assert scrap_law(campaign(uncertainty=own), tool) == ThreePoint(early=0.01, likely=0.03, late=0.2)
    assert shots_of(campaign(uncertainty=own), tool, 1, 1000) > shots_of(campaign(), tool, 1, 1000)
    document_of_old = document()
    assert "scrap_taken" not in document_of_old
    assert Campaign.model_validate(document_of_old).scrap_taken == "unsure"


def test_the_auditor_catches_a_plan_for_known_scrap_where_it_is_unsure() -> None:
    plan = make_plan(campaign(scrap_taken="known"), Unhurried())
    assert plan.audit is not None
    assert plan.audit.holds
    verdict = audit(campaign(), plan)
    assert "A7" in {rule.rule for rule in verdict.rules if not rule.holds}
    assert any("over what its scrap may be" in finding for rule in verdict.rules for finding in rule.findings)

"""What is read off replications: quantiles, chances, drivers, and whether promised dates hold as often as they say."""

import numpy as np
import pytest
from scipy import stats

from benchmarks.generator import small
from benchmarks.promise_coverage import coverage
from planner.control import Unhurried
from planner.planning.make import make_plan
from planner.promise.figures import least_loss, quantile_day
from planner.promise.make import make_promise
from planner.promise.rank_correlation import ranks, spearman
from planner.promise.scenarios import Factor
from planner.promise.sensitivity import strongest
from tests.planner.promise.chains import chain


def planned(campaign):
    quick = campaign.planning.model_copy(update={"rounds": 0})
    return make_plan(campaign.model_copy(update={"planning": quick}), Unhurried())


def test_dates_and_chances_of_a_chain():
    """One run of 10 to 20 days (triangle, most likely 10): the dates follow from its closed form and daily pick-ups."""
    campaign = chain({"a": (10, 10, 20)}, "triangular")
    found = make_promise(campaign, planned(campaign), replications=4000, confidence=0.9)
    tier = found.tiers[0]
    exact = stats.triang(0, 10, 10)
    start = campaign.start.date().toordinal()

    def leaves(days):  # a pick-up at 16:00 every day
        return start + int(np.ceil(days - 16 / 24))

    for share, day in ((0.5, tier.dates.p50), (0.8, tier.dates.p80), (0.95, tier.dates.p95), (0.9, tier.announce)):
        assert abs(day.toordinal() - leaves(exact.ppf(share))) <= 1
    allowed = 16 + 16 / 24  # promised for the 20th of January, 16 days after the start
    assert tier.chance == pytest.approx(exact.cdf(allowed), abs=0.03)
    assert tier.drivers[0].factor == "tool/a/cycle"
    assert tier.drivers[0].correlation > 0.99
    # Jensen & Özkil, Design Science 4 (2018) e18; Mollick, Journal of Business Venturing 29(1) (2014) 1-16
    assert [("32 in 100" in one.text, "25 in 100" in one.text) for one in found.base_rate] == [
        (True, False), (False, True),
    ]  # fmt: skip
    assert all(journal in one.source and year in one.source for one, journal, year in zip(
        found.base_rate, ("Design Science", "Journal of Business Venturing"), ("2018", "2014"), strict=True,
    ))  # fmt: skip


def test_the_day_of_least_expected_loss_is_the_newsvendors():
    """Critical fractile (Arrow, Harris, Marschak, Econometrica 19(3) 1951; Birge and Louveaux, ch. 1; both from
    memory): no other day has a lower mean loss, tried one by one; by closed form it is the triangle's own quantile."""
    campaign = chain({"a": (10, 10, 20)}, "triangular")
    plan = planned(campaign)
    for late, early in ((3.0, 1.0), (1.0, 4.0), (1.0, 0.0)):
        tier = campaign.tiers["one"].model_copy(update={"late_cost_per_day": late, "early_cost_per_day": early})
        priced = campaign.model_copy(update={"tiers": {"one": tier}})
        marked = make_promise(priced, plan, replications=4000).tiers[0].least_loss
        assert marked.fractile == late / (late + early)
        lasting = 10 + 10 * (1 - np.sqrt(1 - marked.fractile))  # of the triangle that falls from 10 to 20
        assert abs((marked.day - campaign.start.date()).days - lasting) <= 1.5
    days = np.random.default_rng(1).integers(700_000, 700_030, 999)
    tier = campaign.tiers["one"].model_copy(update={"late_cost_per_day": 2.0, "early_cost_per_day": 0.7})
    marked = least_loss(days, tier)
    losses = {d: np.where(days > d, 2.0 * (days - d), 0.7 * (d - days)).mean() for d in range(699_990, 700_050)}
    assert marked.expected_loss == pytest.approx(min(losses.values()))
    assert losses[marked.day.toordinal()] == pytest.approx(min(losses.values()))
    assert least_loss(days, campaign.tiers["one"]) is None


def test_regions_have_dates_of_their_own():
    """A region is done no later than its tier, and one of them on the tier's own day."""
    campaign = small(8)
    found = make_promise(campaign, planned(campaign), replications=200)
    several = [tier for tier in found.tiers if len(tier.regions) > 1]
    assert several
    for tier in found.tiers:
        assert sum(region.parcels for region in tier.regions) == tier.parcels
        assert max(region.dates.planned for region in tier.regions) == tier.dates.planned
        assert all(region.announce <= tier.announce for region in tier.regions)


def test_quantiles_are_the_least_day_that_is_sure_enough():
    days = np.array([5, 1, 4, 2, 3, 6, 7, 8, 9, 10])
    assert quantile_day(days, 0.8).toordinal() == 8
    assert quantile_day(days, 0.81).toordinal() == 9
    assert quantile_day(days, 0.05).toordinal() == 1


def test_rank_correlation_is_scipys():
    """Spearman with ties, against scipy."""
    draw_ = np.random.default_rng(4)
    a, b = draw_.integers(0, 9, 300).astype(float), draw_.normal(size=300)
    b += a
    assert (ranks(a) == stats.rankdata(a) - 1).all()
    assert spearman(ranks(a), ranks(b)) == pytest.approx(stats.spearmanr(a, b).statistic)


def test_drivers_come_in_order_of_what_they_do():
    """Of three things, one worth ten days, one worth three, one worth nothing, the last is not named."""
    draw_ = np.random.default_rng(5)
    big, little, idle = (draw_.random(2000) for _ in range(3))
    done = ((10 * big - 3 * little) * 86400).astype(np.int64) + 10**7
    factors = [Factor(n, n, v, "share") for n, v in (("idle", idle), ("little", little), ("big", big))]
    found = strongest(factors, done)
    assert [d.factor for d in found] == ["big", "little"]
    assert found[0].days == pytest.approx(8, abs=0.5)
    assert found[1].days == pytest.approx(2.4, abs=0.5)
    assert found[1].correlation < 0


def test_nothing_said_means_the_common_case_and_says_so():
    campaign = small(2)
    assert make_promise(campaign, planned(campaign), replications=50).basis == "common case"


def test_eighty_per_cent_dates_hold_eighty_per_cent_of_the_time():
    """Random campaigns with truths from the same distributions: P80 holds at least as often as it says, and with the
    lumps of a discrete date split, 80 % of the time give or take 3. All 300: the benchmark of the same name."""
    for share in coverage(campaigns=30, replications=150, truths=60).values():
        assert share.holds >= 0.77
        assert share.before <= 0.83
        assert share.split == pytest.approx(0.8, abs=0.03)

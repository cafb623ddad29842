"""What is read off the floors: quantiles, chances, drivers, and whether promised dates hold as often as they say."""

import numpy as np
import pytest
from scipy import stats

from benchmarks.generator import small
from benchmarks.promise_coverage import coverage
from planner.control import Unhurried
from planner.planning.make import make_plan
from planner.promise.figures import quantile_day
from planner.promise.make import make_promise
from planner.promise.scenarios import Factor
from planner.promise.sensitivity import drivers, ranks, spearman
from tests.planner.promise.chains import chain


def planned(campaign):
    quick = campaign.planning.model_copy(update={"rounds": 0})
    return make_plan(campaign.model_copy(update={"planning": quick}), Unhurried())


def test_dates_and_chances_of_a_chain():
    """One run of 10 to 20 days (triangle, most likely 10): the dates follow from its closed form and daily pick-ups."""
    campaign = chain({"a": (10, 10, 20)}, "triangular")
    found = make_promise(campaign, planned(campaign), floors=4000, confidence=0.9)
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
    found = drivers(factors, done)
    assert [d.factor for d in found] == ["big", "little"]
    assert found[0].days == pytest.approx(8, abs=0.5)
    assert found[1].days == pytest.approx(2.4, abs=0.5)
    assert found[1].correlation < 0


def test_nothing_said_means_the_common_case_and_says_so():
    campaign = small(2)
    assert make_promise(campaign, planned(campaign), floors=50).basis == "common case"


def test_eighty_per_cent_dates_hold_eighty_per_cent_of_the_time():
    """Random campaigns with truths from the same distributions: P80 holds at least as often as it says, and with the
    lumps of a discrete date split, 80 % of the time give or take 3. All 300: the benchmark of the same name."""
    for share in coverage(campaigns=30, floors=150, truths=60).values():
        assert share.holds >= 0.77
        assert share.before <= 0.83
        assert share.split == pytest.approx(0.8, abs=0.03)

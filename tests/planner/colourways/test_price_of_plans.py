"""Two plans compared: differences, bounds, dates; and planning both ways with halves of one budget."""

import pytest

from planner.campaign import Campaign
from planner.colourways import plan_both
from planner.colourways.price import price
from planner.control import Progress
from tests.support.pot_campaign import pot_campaign
from tests.support.pot_plan import pot_plan


def test_a_plan_against_itself_costs_nothing() -> None:
    """Every difference is 0, and nothing is sure where the bound lies below the cost."""
    same = price(pot_plan(), pot_plan())
    assert same.total.difference == same.purge_kg.difference == same.purge_hours.difference == 0
    assert all(line.amount.difference == 0 for line in same.money)
    assert all(tier.days == 0 for tier in same.tiers)
    assert same.proven_low <= 0 <= same.proven_high
    assert not same.sure


def test_every_figure_is_that_of_the_plans() -> None:
    """Purge hours, press hours, and a tier that one of the plans doesn't have."""
    plan = pot_plan()
    fewer = plan.model_copy(
        update={
            "tiers": plan.tiers[:1],
            "runs": plan.runs[:-1],
            "outcome": plan.outcome.model_copy(update={"total": 100.0, "lower_bound": 90.0}),
        }
    )
    found = price(plan, fewer)
    last = plan.runs[-1]
    purged = sum(purge.seconds for purge in last.changeover.purges) if last.changeover else 0
    assert found.purge_hours.difference == pytest.approx(-purged / 3600, abs=1e-5)
    worked = sum((s.end - s.start).total_seconds() for s in last.stretches)
    worked += (last.changeover.end - last.changeover.start).total_seconds() if last.changeover else 0
    assert found.press_hours.difference == pytest.approx(-worked / 3600, abs=1e-5)
    gone = {tier.tier: tier for tier in found.tiers}[plan.tiers[1].tier]
    assert (gone.days, gone.last_dispatch_changed, gone.parcels.changed) == (None, None, 0)
    assert found.proven_low == pytest.approx(90 - plan.outcome.total)
    assert found.proven_high == pytest.approx(100 - plan.outcome.lower_bound)


def test_a_difference_beyond_both_bounds_is_sure() -> None:
    plan = pot_plan()
    dear = plan.model_copy(update={"outcome": plan.outcome.model_copy(update={"total": 1e6, "lower_bound": 0.99e6})})
    assert price(plan, dear).sure
    assert price(dear, plan).sure


def test_two_currencies_are_not_compared() -> None:
    with pytest.raises(ValueError, match="cannot be compared"):
        price(pot_plan(), pot_plan().model_copy(update={"currency": "JPY"}))


class Clock:
    """A control with a clock the test turns."""

    def __init__(self) -> None:
        self.left = 10.0
        self.told: list[float] = []

    def should_stop(self) -> bool:
        return False

    def seconds_left(self) -> float:
        return self.left

    def cores(self) -> int:
        return 2

    def report(self, progress: Progress) -> None:
        self.told.append(progress.share)


def test_each_way_gets_half_of_the_time_and_half_of_the_progress(monkeypatch) -> None:
    """The first may use 5 of 10 seconds; the second has all that is left."""
    clock, seen = Clock(), []

    def planned(_campaign: Campaign, control):
        seen.append(control.seconds_left())
        control.report(Progress("search", 0.5))
        clock.left -= 4
        return pot_plan()

    monkeypatch.setattr(plan_both, "make_plan", planned)
    found = plan_both.planned_both_ways(pot_campaign(), pot_campaign(), clock)
    assert found.total.difference == 0
    assert seen == [5.0, 6.0]
    assert clock.told == [0.25, 0.75]

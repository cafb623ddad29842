"""The points between which a maker chooses: what each campaign is asked to aim at, and what its plan is called."""

import pytest

from planner.frontier.rates import ANY_PRICE, STEPS, days_to_last, planning_patch, point_title, rates_for
from planner.slips.compare import waste_kg
from tests.support.pot_plan import pot_plan


def test_from_no_day_bought_to_any_price():
    """In between, multiples of the kilograms this plan wastes for each of its days."""
    plan = pot_plan()
    own = waste_kg(plan) / days_to_last(plan)
    assert 0 < own < 100
    rates = rates_for(plan)
    assert rates == pytest.approx([0.0, own / 4, own, own * 4, own * 16, ANY_PRICE], abs=1e-4)
    assert rates == sorted(rates)
    assert len(rates) == len(STEPS) + 1


def test_days_are_counted_to_the_last_dispatch():
    """From the start on Monday morning, with fractions of a day; a plan without any takes none."""
    plan = pot_plan()
    last = max(dispatch.at for dispatch in plan.dispatches)
    assert days_to_last(plan) == pytest.approx((last - plan.start).total_seconds() / 86400)
    assert days_to_last(plan) > 1
    nothing = plan.model_copy(update={"dispatches": []})
    assert days_to_last(nothing) == 0
    assert rates_for(nothing) == sorted(rates_for(nothing))


def test_a_plan_that_wastes_nothing_still_has_points_that_differ():
    plan = pot_plan()
    clean = plan.model_copy(update={"runs": [], "purge_kg": 0.0})
    assert len(set(rates_for(clean))) == len(STEPS) + 1


@pytest.mark.parametrize(
    ("rate", "title"),
    [(0.0, "least waste"), (0.5, "a day sooner for up to 0.5 kg"), (4.5081, "a day sooner for up to 4.51 kg"),
     (999.0, "a day sooner for up to 999 kg"),
     (ANY_PRICE, "soonest"), (2 * ANY_PRICE, "soonest")],
)  # fmt: skip
def test_each_point_says_what_a_day_is_worth_in_it(rate, title):
    assert point_title(rate) == title


@pytest.mark.parametrize(("rate", "asked"), [(0.0, None), (0.5, 0.5), (ANY_PRICE, ANY_PRICE)])
def test_a_point_aims_at_least_waste_at_its_rate(rate, asked):
    """Without a rate nothing is spent on a day: the campaign says none."""
    assert planning_patch(rate) == {"planning": {"aim": "waste", "kg_per_day": asked}}

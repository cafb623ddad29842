"""What a plan has of its aim beside money, and how near the bound of it is: figures worked by hand."""

import numpy as np
import pytest

from planner.reading import read
from planner.schedule import timing as w
from planner.schedule.bounds.objective_gap import aim_as_written, aim_met, aim_undercut
from planner.schedule.bounds.press_hours import LowerBound
from planner.schedule.encode import aimed, compile_campaign
from tests.planner_double import SMALL_CAMPAIGN

DAYS, KG = 3, 4.5
LOWEST = LowerBound(0.0, 0.0, 0.0, "", waste_kg=2.0, waste_basis="a purge", last_s=2 * 86400, last_basis="moulding")


@pytest.fixture(scope="module")
def instance():
    return compile_campaign(read(SMALL_CAMPAIGN))[0]


def totals(days=DAYS):
    """Three kilograms purged, one and a half to start up, the last parcel after so many days."""
    found = np.zeros(w.TOTALS)
    found[w.PURGE_TOTAL_KG], found[w.STARTUP_TOTAL_KG], found[w.LAST] = 3.0, 1.5, days * 86400.0
    return found


@pytest.mark.parametrize(
    ("aim", "kg_per_day", "unit", "value", "bound", "basis"),
    [
        ("waste", 0.0, "kg", KG, 2.0, "a purge"),
        ("waste", 0.25, "kg", KG + 0.25 * DAYS, 2.0 + 0.25 * 2, "a purge; moulding"),
        ("soonest", 0.0, "days", DAYS, 2.0, "moulding"),
    ],
)
def test_kilograms_and_days_of_the_aim(instance, aim, kg_per_day, unit, value, bound, basis):
    """A day is worth so many kilograms where least waste is aimed at; the gap is a share of what the plan has."""
    met = aim_met(aimed(instance, aim, kg_per_day), totals(), LOWEST)
    assert (met.unit, met.basis) == (unit, basis)
    assert (met.value, met.bound) == pytest.approx((value, bound))
    assert met.gap == pytest.approx((value - bound) / value)


def test_money_has_no_other_aim(instance):
    assert aim_met(aimed(instance, "cost"), totals(), LOWEST) is None
    assert aim_as_written(aimed(instance, "cost"), totals(), None) is None


def test_a_bound_is_never_above_what_is_written_down(instance):
    """Written down it has less than the search met: its bound comes down with it, and was wrong if it stood above."""
    inst = aimed(instance, "soonest")
    met = aim_met(inst, totals(), LOWEST)
    written = aim_as_written(inst, totals(1), met)
    assert (written.value, written.bound) == (1.0, 1.0)
    assert aim_undercut(inst, totals(2), met) == ""
    assert "less than 2.000000 days" in aim_undercut(inst, totals(1), met)

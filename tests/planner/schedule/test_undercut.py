"""A bound is wrong where a plan lies below it by more than is told apart, and only there."""

import numpy as np
import pytest

from benchmarks.generator import tiny
from planner import spared
from planner.schedule import timing as w
from planner.schedule.bounds.press_hours import LowerBound, beforehand
from planner.schedule.bounds.undercut import dearer, let_go, undercut
from planner.schedule.encode import compile_campaign


@pytest.mark.parametrize(
    ("bound", "cost", "wrong"),
    [
        (100.0, 100.0, False),
        (0.01, 0.0, False),
        (0.0101, 0.0, True),
        (100.02, 100.0, True),
        (-5.0, -5.1, True),
        (99.0, 100.0, False),
    ],
)
def test_a_bound_may_lie_a_cent_above_a_plan(bound, cost, wrong):
    """Exactly a cent is none; what is said names both amounts."""
    said = dearer(bound, cost)
    assert bool(said) == wrong
    assert not wrong or (f"{bound:.4f}" in said and f"{cost:.4f}" in said)


def totals(cost: float, kg: float, last: float) -> np.ndarray:
    """What a plan comes to."""
    found = np.zeros(max(w.COST, w.PURGE_TOTAL_KG, w.STARTUP_TOTAL_KG, w.LAST) + 1)
    found[w.COST], found[w.PURGE_TOTAL_KG], found[w.STARTUP_TOTAL_KG], found[w.LAST] = cost, kg / 4, 3 * kg / 4, last
    return found


@pytest.mark.parametrize(
    ("aims", "plan", "wrong"),
    [
        ({}, (10.0, 1.0, 50.0), ""),
        ({}, (9.0, 1.0, 50.0), "costs less than 10.0000"),
        ({}, (10.0, 0.5, 40.0), ""),
        ({"aim_waste": 1.0}, (10.0, 0.5, 50.0), "wastes less than 1.000000 kg, and one wastes 0.500000"),
        ({"aim_waste": 1.0}, (10.0, 1.0 - 5e-7, 50.0), ""),
        ({"aim_last": 1.0}, (10.0, 1.0, 49.0), "no plan ends before 50 s, and one ends at 49"),
        ({"aim_last": 1.0}, (10.0, 1.0, 50.0), ""),
        ({"aim_last": 1.0}, (9.0, 0.5, 40.0), "costs less"),
    ],
)
def test_kilograms_and_the_end_count_where_they_are_the_aim(aims, plan, wrong):
    """Purge and start-up together; money first."""
    inst, _ = compile_campaign(tiny(2))
    inst = inst._replace(**{"aim_waste": 0.0, "aim_last": 0.0} | aims)
    said = undercut(inst, totals(*plan), LowerBound(0.0, 0.0, 10.0, "as a test has it", waste_kg=1.0, last_s=50))
    assert wrong in said
    assert bool(said) == bool(wrong)


def test_a_wrong_bound_gives_way_to_one_that_rests_on_less(monkeypatch):
    """And to none at all where that is undercut, too; the fault is noted either time."""
    monkeypatch.setattr(spared, "bearable", lambda error: True)
    inst, _ = compile_campaign(tiny(2))
    less, faults = beforehand(inst), []
    assert less.total > 0
    assert let_go("wrong", inst, totals(less.total, 0.0, 0.0), faults) == less
    nothing = let_go("wrong again", inst, totals(less.total - 1.0, 0.0, 0.0), faults)
    assert (nothing.presses, nothing.late, nothing.total, nothing.basis) == (0.0, 0.0, 0.0, "nothing")
    assert len(faults) == 2

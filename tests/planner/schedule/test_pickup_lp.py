"""The programme by dates: whoever makes runs of one melt, or of one tool, comes to them from outside at least once."""

from typing import Any

import numpy as np
import pytest

from benchmarks.plain_workshop import workshop
from planner.schedule.bounds.changeovers import least_changeovers
from planner.schedule.bounds.earliest import earliest_dispatch
from planner.schedule.bounds.lp_rows import Rows
from planner.schedule.bounds.pickup_lp import PickupLp, arcs

ACROSS = [[0, 0, 100, 100], [0, 0, 100, 100], [100, 100, 0, 0], [100, 100, 0, 0]]
"""Seconds from one of four runs to another: two and two alike."""


def least(setups: list[list[int]], **changes: Any) -> float:
    """Of four runs of one second each on a press that costs one a second."""
    inst = workshop([[1, 1, 1, 1]], setups=[setups])._replace(**changes)
    money = least_changeovers(inst)
    found = PickupLp(inst, money, earliest_dispatch(inst, money), Rows()).least_money(60.0)
    assert found is not None
    return found


def test_two_melts_are_changed_once() -> None:
    """Shares of runs that enter each other in a circle would pay for none."""
    melts = np.array([[0, -1], [0, -1], [2, -1], [2, -1]])
    assert least(ACROSS, run_melt=melts) == pytest.approx(4.0 + 100.0, abs=1e-3)
    assert least(ACROSS) == pytest.approx(4.0, abs=1e-3), (
        "without a melt in common nothing says that two belong together"
    )


def test_two_tools_are_mounted_once_each() -> None:
    tools = {"run_tool": np.array([0, 0, 1, 1]), "mount_s": np.array([50, 50]), "tool_ready": np.zeros(2, np.int64)}
    assert least(np.zeros((4, 4), np.int64).tolist(), **tools) == pytest.approx(4.0 + 50.0 + 50.0, abs=1e-3)


def test_its_size_goes_by_pairs_of_runs_on_a_press() -> None:
    assert arcs(workshop([[1, 1, 1], [1, -1, 1]])) == 3 * 3 + 2 * 2

"""One scenario that stands for many, by hand."""

import numpy as np

from planner.expected.in_scenario import typical
from planner.schedule.expected.scenarios import Scenarios


def test_what_may_be_late_is_late_and_paces_are_the_mean():
    """Five scenarios of two tools and one press: four of five are ready by the fourth of the days drawn, in order."""
    ready = np.array([[0, 50], [10, 40], [20, 30], [30, 20], [40, 10]])
    pace = np.array([[0.9], [1.0], [1.1], [1.0], [1.5]])
    found = typical(Scenarios(5, ready=ready, press=pace, assembly=np.array([1.0, 1.2, 1.0, 1.0, 1.3])), 0.75)
    assert found.number == 1
    assert found.ready.tolist() == [[30, 40]]
    assert found.press.tolist() == [[1.1]]
    assert found.assembly.tolist() == [1.1]
    assert found.supply_s.shape[0] == found.piece_s.shape[0] == found.mount.shape[0] == 0

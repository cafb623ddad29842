"""Demands cut into lots of at least the smallest."""

import pytest

from planner.demand.lots import lots


@pytest.mark.parametrize(
    ("shots", "smallest", "cut"),
    [(9, None, [9]), (9, 5, [9]), (10, 5, [5, 5]), (11, 5, [6, 5]), (15, 5, [5, 5, 5]), (40, 5, [14, 13, 13])],
)
def test_a_demand_of_exactly_twice_the_smallest_is_two_lots(shots, smallest, cut):
    """By hand: as equal as can be, three at the most."""
    assert lots(shots, smallest) == cut

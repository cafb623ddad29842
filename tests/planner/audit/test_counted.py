"""Shots that are done at a moment, by the seconds of production until then."""

from fractions import Fraction
from types import SimpleNamespace

import pytest

from planner.audit.counted import shots_done


@pytest.mark.parametrize(
    ("second", "shots"),
    [(0, 0), (100, 0), (129, 0), (130, 1), (159, 1), (160, 2), (180, 2), (400, 2), (409, 2), (410, 3), (999, 4)],
)
def test_a_shot_counts_from_its_last_second_on(second, shots):
    """30 s a shot, 80 s of work, 220 s in which nothing is made, then the rest; five would fit, four
    are asked for."""
    work = SimpleNamespace(production=[(100, 180), (400, 470)], run=SimpleNamespace(shots=4), shot=Fraction(30))
    assert shots_done(work, second) == shots


def test_shots_of_a_part_of_a_second_are_counted_exactly():
    """Two and a half seconds a shot: the second one is done with the fifth second, not the fourth."""
    work = SimpleNamespace(production=[(0, 100)], run=SimpleNamespace(shots=40), shot=Fraction(5, 2))
    assert [shots_done(work, second) for second in (2, 3, 4, 5, 7, 8, 100)] == [0, 1, 1, 2, 2, 3, 40]

"""Sums on figures as they were written, and what counts as the same."""

from fractions import Fraction

import pytest

from planner.audit.figures import exact, same, seconds_of, whole_up


def test_figures_are_taken_as_written():
    """One tenth is one tenth, though no binary number is."""
    assert exact(0.1) == Fraction(1, 10)
    assert exact(0.1) + exact(0.2) == exact(0.3)


@pytest.mark.parametrize(("minutes", "seconds"), [(0, 0), (1, 60), (0.1, 6), (0.51, 31), (1 / 3, 20)])
def test_a_second_that_is_begun_is_a_second(minutes, seconds):
    """Half a minute and six tenths of a second are thirty-one."""
    assert seconds_of(minutes) == seconds
    assert whole_up(exact(minutes) * 60) == seconds


@pytest.mark.parametrize(
    ("one", "other", "slack", "alike"),
    [
        (1.0, 1.01, 0.01, True),
        (1.0, 1.011, 0.01, False),
        (-1.0, 1.0, 0.01, False),
        (2e6, 2e6 + 2, 0.01, True),
        (2e6, 2e6 + 3, 0.01, False),
        (-2e6, -2e6 - 2, 0.01, True),
        (0.0, 0.0, 0.0, True),
    ],
)
def test_rounding_is_borne_and_no_more(one, other, slack, alike):
    """By so much, or by a millionth of the larger one; either way round."""
    assert same(one, other, slack) == same(other, one, slack) == alike

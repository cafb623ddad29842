"""A press within the hours of the people: when it may work, and until when somebody is there."""

import pytest

from planner.audit.opening import Shift
from planner.audit.people import manned
from planner.calendars.attended import attended
from planner.calendars.stretches import Stretch

HOUR = 3600


def hours(*spans):
    return [Stretch(a * HOUR, b * HOUR, 1) for a, b in spans]


@pytest.mark.parametrize(
    ("press", "people", "alone", "expected"),
    [
        ([(6, 22)], None, 0, [(6, 22, 22)]),
        ([(6, 22)], [(8, 16)], 0, [(8, 16, 16)]),
        ([(6, 22)], [(8, 16)], 4, [(8, 20, 16)]),
        ([(6, 22)], [(8, 16)], 9, [(8, 22, 16)]),
        ([(0, 48)], [(8, 16), (32, 40)], 3, [(8, 19, 16), (32, 43, 40)]),
        ([(6, 22)], [(1, 5)], 9, []),
        ([(6, 10), (12, 22)], [(8, 16)], 1, [(8, 10, 10), (12, 17, 16)]),
    ],
)
def test_a_press_works_while_somebody_is_there_and_some_time_on(press, people, alone, expected):
    """Worked by hand; the auditor's own reading says the same."""
    found = attended(hours(*press), None if people is None else hours(*people), alone * HOUR)
    assert [(a.start // HOUR, a.end // HOUR, a.hands // HOUR) for a in found] == expected
    shifts = None if people is None else [Shift(a * HOUR, b * HOUR, 1) for a, b in people]
    theirs = manned([(a * HOUR, b * HOUR) for a, b in press], shifts, alone * HOUR)
    assert [tuple(one) for one in theirs] == [(a.start, a.end, a.hands) for a in found]


def test_a_press_stops_a_second_before_somebody_comes_again():
    """Twenty-four hours alone: whoever comes in the morning finds it stopped, and looks before it begins anew."""
    found = attended(hours((0, 48)), hours((8, 16), (32, 40)), 24 * HOUR)
    assert [(a.start, a.end) for a in found] == [(8 * HOUR, 32 * HOUR - 1), (32 * HOUR, 48 * HOUR)]

"""Planning as it goes: cost and bound are drawn from when each is known."""

import re
from datetime import datetime, timedelta

from api.pictures.progress import BOTTOM, HEIGHT, LEFT, RIGHT, TOP, WIDTH, Point, progress_svg

BEGUN = datetime(2027, 1, 11, 6)


def test_each_line_begins_when_its_first_amount_is_known():
    """The bound after 25 of 100 s, the cost after 50: they begin at a quarter and in the middle, the cost above; what
    tells of neither is left out."""
    known = [(5, None, None), (25, None, 80.0), (50, 100.0, None), (75, 90.0, 85.0)]
    points = [Point(BEGUN + timedelta(seconds=at), cost, bound) for at, cost, bound in known]
    picture = progress_svg(points, BEGUN, 100.0)
    lines = re.findall(r'"M([\d.]+),([\d.]+)H([\d.]+)V([\d.]+)"', picture)
    begins = sorted((float(x), float(y)) for x, y, _, _ in lines)
    assert [x for x, _ in begins] == [164.0, 320.0]
    assert begins[0][1] > begins[1][1]


def heights(points, budget=100.0):
    """(first, last) height of each line."""
    picture = progress_svg(points, BEGUN, budget)
    return [
        (float(first), float(re.findall(r"V([\d.]+)", rest)[-1]) if "V" in rest else float(first))
        for first, rest in re.findall(r'"M[\d.]+,([\d.]+)([^"]*)"', picture)
    ]


def test_one_amount_lies_in_the_middle():
    """Where nothing has moved there is room of one in a hundred above and below, of one where it costs nothing."""
    for cost in (100.0, 0.0):
        at = BEGUN + timedelta(seconds=10)
        ((flat, same),) = heights([Point(at, cost, None)])
        below, above = heights([Point(at, cost, None), Point(at, cost + 1, cost - 1)])
        assert flat == same
        assert min(*below, *above) < flat < max(*below, *above)


def test_room_of_eight_in_a_hundred_is_left_above_and_below():
    """From 0 to 100 the drawing goes from -8 to 108: both lines lie 8/116 of its height from its edges."""
    at = BEGUN + timedelta(seconds=10)
    ((cost, _), (bound, _)) = heights([Point(at, 100.0, 0.0)])
    top, bottom = min(cost, bound), max(cost, bound)
    height = (bottom - top) * 116 / 100
    assert round(top - height * 8 / 116, 1) == TOP
    assert round(bottom + height * 8 / 116, 1) == HEIGHT - BOTTOM


def test_what_lasts_longer_than_its_budget_is_drawn_whole():
    """The last amount comes after twice the budget: at the right edge."""
    points = [Point(BEGUN + timedelta(seconds=s), 10.0 - s / 100, None) for s in (0, 100, 200)]
    (path,) = re.findall(r'"(M[^"]*)"', progress_svg(points, BEGUN, 100.0))
    assert [float(x) for x in re.findall(r"[MH]([\d.]+)", path)] == [LEFT, (LEFT + WIDTH - RIGHT) / 2, WIDTH - RIGHT]

"""Planning as it goes: cost and bound are drawn from when each is known."""

import re
from datetime import datetime, timedelta

from api.pictures.progress import Point, progress_svg

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

"""Closed hours on the sheet of the floor: what lies between open stretches, whichever ends last."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest

from api.pictures.floor.hours import closed
from api.pictures.floor.scale import GUTTER, MARGIN, Scale

SCALE = Scale(ZoneInfo("UTC"), date(2027, 1, 11), 1, GUTTER + MARGIN + 240.0)
"""One day, ten units an hour."""


def at(hour: int) -> datetime:
    return datetime(2027, 1, 11, hour, tzinfo=UTC)


@pytest.mark.parametrize(
    ("opened", "shut"),
    [
        ([], [(0, 24)]),
        ([(6, 22)], [(0, 6), (22, 24)]),
        ([(0, 23)], [(23, 24)]),
        ([(6, 14), (14, 22)], [(0, 6), (22, 24)]),
        ([(6, 10), (12, 16)], [(0, 6), (10, 12), (16, 24)]),
        ([(6, 20), (8, 12), (21, 22)], [(0, 6), (20, 21), (22, 24)]),  # one within another ends nothing
    ],
)
def test_closed_is_what_lies_between(opened: list[tuple[int, int]], shut: list[tuple[int, int]]) -> None:
    found = closed([(at(begin), at(end)) for begin, end in opened], SCALE)
    expected = [(GUTTER + 10.0 * begin, 10.0 * (end - begin)) for begin, end in shut]
    assert [x for pair in found for x in pair] == pytest.approx([x for pair in expected for x in pair])

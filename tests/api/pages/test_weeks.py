"""The weeks a plan covers and the days of one of them, by a calendar: 4 January 2027 is a Monday."""

from datetime import date, datetime
from types import SimpleNamespace

import pytest

from api.pages.weeks import days_of, weeks_of
from api.pictures.floor import Window


def plan(start: str, runs: list[str], sent: list[str]):
    """With runs that end and pick-ups at those moments."""
    at = datetime.fromisoformat
    return SimpleNamespace(
        start=at(start), runs=[SimpleNamespace(end=at(one)) for one in runs],
        dispatches=[SimpleNamespace(at=at(one)) for one in sent],
    )  # fmt: skip


@pytest.mark.parametrize(
    ("start", "runs", "sent", "weeks"),
    [
        ("2027-01-04T06:00", [], [], ["2027-01-04"]),
        ("2027-01-10T06:00", [], [], ["2027-01-04"]),
        ("2027-01-06T06:00", ["2027-01-10T23:00"], [], ["2027-01-04"]),
        ("2027-01-06T06:00", ["2027-01-11T00:00"], ["2027-01-05T10:00"], ["2027-01-04", "2027-01-11"]),
        ("2027-01-06T06:00", ["2027-01-07T00:00"], ["2027-01-18T10:00"], ["2027-01-04", "2027-01-11", "2027-01-18"]),
    ],
)
def test_weeks_go_from_the_start_to_whatever_is_last(start, runs, sent, weeks):
    """A run or a pick-up; a Sunday is still of its week."""
    assert [day.isoformat() for day in weeks_of(plan(start, runs, sent))] == weeks


@pytest.mark.parametrize(("first", "days", "shown"), [(6, 1, 7), (4, 7, 7), (10, 7, 7), (4, 8, 0), (4, None, 0)])
def test_the_days_of_a_week_are_offered_where_one_is_shown(first, days, shown):
    """From Monday on, whichever of its days the window begins on."""
    found = days_of(Window(date(2027, 1, first), days))
    assert len(found) == shown
    assert found[:1] == [date(2027, 1, 4)][:shown]
    assert found[6:] == [date(2027, 1, 10)][:shown]


def test_where_no_day_is_asked_for_none_is_offered():
    assert days_of(Window(None, 7)) == []

"""The auditor's own reading of opening hours: clock changes, holidays, single dates, nights."""

from datetime import UTC, date, datetime

from planner.audit.moments import Clock
from planner.audit.opening import Openings, shifts
from planner.campaign.benches import Bench
from planner.campaign.hours import Open

LONDON = Clock("Europe/London")


def hours_open(place: Open, first: date, last: date, closed: tuple[date, ...] = ()) -> float:
    """Hours open in the shifts that begin from first to last."""
    return sum(s.end - s.start for s in shifts(place, closed, LONDON, first, last)) / 3600


def test_the_two_clock_change_nights() -> None:
    """22:00-06:00 in London is 7 h on 28-29 March 2026 and 9 h on 24-25 October 2026 (IANA time zone database)."""
    night = Open(hours={"mon-sun": "22:00-06:00"})
    assert hours_open(night, date(2026, 3, 28), date(2026, 3, 28)) == 7
    assert hours_open(night, date(2026, 10, 24), date(2026, 10, 24)) == 9
    assert hours_open(night, date(2026, 6, 1), date(2026, 6, 1)) == 8


def test_what_a_single_date_says_goes_before_holidays_and_the_week() -> None:
    """on_dates before closed days before the week."""
    place = Open(hours={"mon": "06:00-14:00"}, on_dates={date(2027, 1, 18): "08:00-10:00", date(2027, 1, 11): "closed"})
    assert hours_open(place, date(2027, 1, 11), date(2027, 1, 11)) == 0
    assert hours_open(place, date(2027, 1, 18), date(2027, 1, 18), (date(2027, 1, 18),)) == 2
    assert hours_open(place, date(2027, 1, 25), date(2027, 1, 25), (date(2027, 1, 25),)) == 0
    assert hours_open(place, date(2027, 2, 1), date(2027, 2, 1)) == 8


def test_a_night_shift_belongs_to_the_day_it_begins_on() -> None:
    """The tail of a night shift runs on into a holiday; none begins on it."""
    night = Open(hours={"mon-sun": "22:00-06:00"})
    found = shifts(night, [date(2027, 1, 12)], LONDON, date(2027, 1, 11), date(2027, 1, 13))
    begins = [datetime.fromtimestamp(s.start, UTC).date() for s in found]
    assert begins == [date(2027, 1, 11), date(2027, 1, 13)]


def test_stretches_that_touch_are_one() -> None:
    """Midnight is no closing for a press that goes on."""
    day = Open(hours={"mon-tue": "00:00-24:00"})
    found = Openings(shifts(day, [], LONDON, date(2027, 1, 11), date(2027, 1, 17)))
    assert [(end - start) / 3600 for start, end in found.stretches] == [48]
    start, end = found.stretches[0]
    assert found.around(end) is None
    assert found.around(start) == (start, end)
    assert found.next(start + 1, 1) is None


def test_people_of_a_span_go_before_people_of_the_bench() -> None:
    """` x3` says three for that span; elsewhere the bench's own number counts."""
    bench = Bench(hours={"mon": "08:00-12:00 x3, 13:00-16:00"}, people=2)
    found = shifts(bench, [], LONDON, date(2027, 1, 11), date(2027, 1, 11), bench.people)
    assert [s.people for s in found] == [3, 2]

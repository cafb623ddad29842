"""Open hours in a named zone, as seconds."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from planner.calendars.clock import Clock
from planner.calendars.pickups import pickups
from planner.calendars.stretches import Stretch, stretches
from planner.campaign.benches import PickUps
from planner.campaign.hours import Open

HOUR = 3600


def open_on(hours: dict[str, str], start: datetime, zone: str = "Europe/London", days: int = 3, **more: object) -> list:
    clock = Clock.starting(start, zone)
    return stretches(Open.model_validate({"hours": hours, **more}), [], clock, days)


@pytest.mark.parametrize(
    ("start", "hours"),
    [(datetime(2026, 3, 28, 12), 7), (datetime(2026, 10, 24, 12), 9), (datetime(2026, 6, 6, 12), 8)],
)
def test_a_night_shift_across_the_clock_change(start: datetime, hours: int) -> None:
    """Trade check value: 22:00-06:00 in Europe/London is 7 h on 28-29 Mar 2026 and 9 h on 24-25 Oct 2026."""
    (first, *_) = open_on({"sat": "22:00-06:00"}, start)
    assert first.end - first.start == hours * HOUR


def test_spans_that_touch_are_one_stretch_round_the_clock() -> None:
    """A press that never closes never gets cold."""
    (only,) = open_on({"mon-sun": "00:00-24:00"}, datetime(2027, 1, 11), days=7)
    assert only == Stretch(0, 7 * 24 * HOUR, 1)


def test_a_closed_day_has_no_span_but_a_date_named_beats_it() -> None:
    clock = Clock.starting(datetime(2027, 1, 11), "Europe/London")
    week = {"mon-fri": "08:00-16:00"}
    shut = [date(2027, 1, 12), date(2027, 1, 13)]
    rule = Open.model_validate({"hours": week, "on_dates": {"2027-01-13": "09:00-10:00"}})
    found = stretches(rule, shut, clock, 4)
    assert [(s.start // HOUR, s.end // HOUR) for s in found] == [(8, 16), (57, 58), (80, 88)]


def test_people_of_overlapping_spans_add_up() -> None:
    """The night shift's last two hours beside the early shift."""
    clock = Clock.starting(datetime(2027, 1, 11), "Europe/London")
    rule = Open.model_validate({"hours": {"mon": "22:00-06:00 x1", "tue": "04:00-12:00 x2"}})
    found = stretches(rule, [], clock, 3, people=9, headcount=True)
    assert [(s.start // HOUR, s.end // HOUR, s.people) for s in found] == [(22, 28, 1), (28, 30, 3), (30, 36, 2)]


def test_hours_begun_before_the_start_count_from_the_start() -> None:
    (first, *_) = open_on({"sun": "22:00-06:00"}, datetime(2027, 1, 11, 2))
    assert first == Stretch(0, 4 * HOUR, 1)


def test_pickups_on_weekdays_extra_days_and_not_on_holidays() -> None:
    clock = Clock.starting(datetime(2027, 1, 11), "Europe/London")
    rule = PickUps.model_validate(
        {"days": ["tue", "fri"], "time": "16:00", "on_dates": ["2027-01-13"], "not_on": ["2027-01-15"]}
    )
    found = [clock.moment(s) for s in pickups(rule, [date(2027, 1, 19)], clock, 11)]
    assert [(m.day, m.hour) for m in found] == [(12, 16), (13, 16), (22, 16)]


@pytest.mark.parametrize(
    ("zone", "year"),
    [
        ("Europe/Berlin", 2027),
        ("America/Santiago", 2025),  # changed at midnight
        ("Asia/Beirut", 2025),  # changed at midnight
        ("Australia/Lord_Howe", 2027),  # by half an hour
        ("Africa/Casablanca", 2027),  # around Ramadan
        ("Pacific/Apia", 2011),  # left out 30 December
        ("UTC", 2027),
    ],
)
def test_every_opening_is_where_the_clock_on_the_wall_says(zone: str, year: int) -> None:
    """Spans before, across and after each change of the clock, against one moment after the other from the zone's own
    table (the IANA time zone database, of which `zoneinfo` reads a copy)."""
    clock = Clock.starting(datetime(year, 1, 1), zone)
    daily = (("01:20", "01:50"), ("02:10", "02:40"), ("03:00", "09:00"), ("22:30", "01:10"))
    found = stretches(Open(hours={"mon-sun": ", ".join(f"{a}-{b}" for a, b in daily)}), (), clock, 420)

    def second(n: int, at: str) -> int:
        day = date(year, 1, 1) + timedelta(days=n)
        there = datetime.combine(day, time.fromisoformat(at), ZoneInfo(zone))
        return max(0, round((there.astimezone(UTC) - clock.origin).total_seconds()))

    open_at: set[int] = set()
    for n in range(-1, 420):
        for begin, end in daily:
            open_at.update(range(second(n, begin) // 300, second(n + (end < begin), end) // 300))
    assert {n for one in found for n in range(one.start // 300, one.end // 300)} == open_at

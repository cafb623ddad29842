"""iCalendar output read back by a parser that is not its writer (the `ical` library), and against RFC 5545's rules."""

import re
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ical.calendar import Calendar
from ical.calendar_stream import IcsCalendarStream

from api.exports.calendar import PlannedEvent, calendar_bytes
from tests.support.sampled import examples

LONDON = ZoneInfo("Europe/London")
MADE = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)


def back(*events: PlannedEvent) -> Calendar:
    """Written by us, read by the other library."""
    return IcsCalendarStream.calendar_from_ics(calendar_bytes("Herb planters", events, MADE).decode())


def test_every_kind_of_event() -> None:
    """Press work, a bench, a day to order by, a pick-up: title, place, notes, kind, day or moment."""
    events = [
        PlannedEvent("run-1", "press", "Shell, sage", datetime(2027, 1, 11, 6, tzinfo=LONDON),
                     datetime(2027, 1, 11, 14, tzinfo=LONDON), "press 1", "1200 shots\npurge 2.1 kg; then start up"),
        PlannedEvent("buy-1", "order by", "Order PP, 12 bags", date(2027, 1, 4), remind=timedelta(days=1)),
        PlannedEvent("out-1", "pick-up", "Pick-up: 240 parcels", datetime(2027, 1, 22, 16, tzinfo=LONDON)),
    ]  # fmt: skip
    calendar = back(*events)
    assert len(calendar.events) == 3
    for event, got in zip(events, calendar.events, strict=True):
        assert got.uid == f"{event.id}@shot-to-ship.invalid"
        assert (got.summary, got.location or "", got.description or "") == (event.title, event.where, event.notes)
        assert got.categories == [event.kind]
        assert got.dtstart == event.start
        assert got.dtstamp == MADE
    assert calendar.events[0].dtend == events[0].end
    assert calendar.events[1].alarm[0].trigger == timedelta(days=-1)
    assert type(calendar.events[1].dtstart) is date


@pytest.mark.parametrize(
    ("start", "end", "hours"),
    [
        (datetime(2026, 3, 28, 22), datetime(2026, 3, 29, 6), 7),
        (datetime(2026, 10, 24, 22), datetime(2026, 10, 25, 6), 9),
        (datetime(2027, 1, 11, 22), datetime(2027, 1, 12, 6), 8),
    ],
)
def test_nights_of_the_clock_change(start: datetime, end: datetime, hours: int) -> None:
    """22:00 to 06:00 in Europe/London: 7 h on 28-29 March 2026, 9 h on 24-25 October 2026 (IANA time zones).

    The file says so by itself: its VTIMEZONE gives the offsets that the zone database has.
    """
    data = calendar_bytes(
        "n", [PlannedEvent("n", "press", "night", start.replace(tzinfo=LONDON), end.replace(tzinfo=LONDON))], MADE
    ).decode()
    got = IcsCalendarStream.calendar_from_ics(data).events[0]
    assert isinstance(got.dtstart, datetime)
    assert isinstance(got.dtend, datetime)
    assert got.dtend.astimezone(UTC) - got.dtstart.astimezone(UTC) == timedelta(hours=hours)
    assert f"DTSTART;TZID=Europe/London:{start:%Y%m%dT%H%M%S}" in data
    assert "BEGIN:VTIMEZONE" in data
    assert "TZID:Europe/London" in data
    assert {"TZOFFSETTO:+0000", "TZOFFSETTO:+0100"} <= set(data.splitlines())


def test_several_zones() -> None:
    """A zone is written for each that is used, once."""
    data = calendar_bytes(
        "z",
        [
            PlannedEvent(str(n), "press", "x", datetime(2027, 6, 1, 8, tzinfo=ZoneInfo(zone)))
            for n, zone in enumerate(("Europe/London", "America/New_York", "Australia/Lord_Howe", "Europe/London"))
        ],
        MADE,
    ).decode()
    assert data.count("BEGIN:VTIMEZONE") == 3
    starts = [event.dtstart for event in IcsCalendarStream.calendar_from_ics(data).events]
    assert [start.astimezone(UTC).strftime("%d %H:%M") for start in starts if isinstance(start, datetime)] == [
        "01 07:00", "01 12:00", "31 21:30", "01 07:00",
    ]  # fmt: skip


@settings(max_examples=examples(150), deadline=None)
@given(st.text(st.characters(exclude_categories=["Cs", "Cc"]) | st.sampled_from('\n,;\\:"'), min_size=1, max_size=200))
def test_any_text_survives(text: str) -> None:
    """Commas, semicolons, backslashes, line breaks, accents, pictures: the same after reading back."""
    got = back(PlannedEvent("e", "bench", "t", date(2027, 1, 1), notes=text)).events[0]
    assert (got.description or "").strip() == text.strip()


@settings(max_examples=examples(100), deadline=None)
@given(st.text(max_size=300))
def test_lines_are_folded_as_the_rfc_asks(text: str) -> None:
    """RFC 5545 3.1: lines end with CRLF and hold at most 75 octets; no bare line feed, no control character."""
    data = calendar_bytes("c", [PlannedEvent("e", "bench", text, date(2027, 1, 1), notes=text)], MADE)
    assert data.endswith(b"END:VCALENDAR\r\n")
    assert b"\n" not in data.replace(b"\r\n", b"")
    assert max(len(line) for line in data.split(b"\r\n")) <= 75
    assert not re.search(rb"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]", data)


def test_required_properties() -> None:
    """RFC 5545 3.6: PRODID and VERSION once in the calendar; UID and DTSTAMP once in each event."""
    lines = calendar_bytes("c", [PlannedEvent("e", "press", "t", date(2027, 1, 1))], MADE).decode().splitlines()
    for name in ("PRODID:", "VERSION:2.0", "UID:", "DTSTAMP:20261125T090000Z", "DTSTART;VALUE=DATE:20270101"):
        assert sum(line.startswith(name) for line in lines) == 1, name


def test_the_same_plan_gives_the_same_file() -> None:
    """Nothing in it depends on when or where it is written."""
    event = PlannedEvent("e", "press", "t", datetime(2027, 1, 1, 6, tzinfo=LONDON))
    assert calendar_bytes("c", [event], MADE) == calendar_bytes("c", [event], MADE)


def test_refusals() -> None:
    """Moments without a zone, ends before starts, days mixed with moments, ids twice."""
    noon = datetime(2027, 1, 1, 12, tzinfo=LONDON)
    for event, reason in (
        (PlannedEvent("e", "press", "t", datetime(2027, 1, 1)), "without a time zone"),
        (PlannedEvent("e", "press", "t", noon, noon - timedelta(hours=1)), "ends before"),
        (PlannedEvent("e", "press", "t", noon, date(2027, 1, 2)), "mixes"),
    ):
        with pytest.raises(ValueError, match=reason):
            calendar_bytes("c", [event], MADE)
    with pytest.raises(ValueError, match="two events"):
        calendar_bytes("c", [PlannedEvent("e", "press", "t", noon)] * 2, MADE)
    with pytest.raises(ValueError, match="offset"):
        calendar_bytes("c", [], datetime(2027, 1, 1))

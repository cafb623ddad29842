"""Events as an iCalendar file (RFC 5545): presses, benches, dryers, order-by days, pick-ups, in the campaign's zone."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from icalendar import Event

Kind = Literal["press", "bench", "dryer", "tool", "order by", "pick-up"]

_CONTROL = re.compile(r"[\x00-\x09\x0b-\x1f\x7f\ud800-\udfff]")
_PRODUCT = "-//Shot to Ship//run plan//EN"


@dataclass(frozen=True)
class PlannedEvent:
    """One entry of the calendar.

    id: the same for the same event in every export, so that a calendar program updates it; no names in it.
    start, end: moments in a named zone (ZoneInfo), or days; without end, a day lasts that day, a moment has no length.
    remind: how long before the start a reminder shows.
    """

    id: str
    kind: Kind
    title: str
    start: datetime | date
    end: datetime | date | None = None
    where: str = ""
    notes: str = ""
    remind: timedelta | None = None


def calendar_bytes(name: str, events: Iterable[PlannedEvent], made: datetime) -> bytes:
    """The calendar file with the time zones its events use. made: when the plan was made, with its offset.

    Raises ValueError for a moment without a zone, an end before its start, or two events of one id.
    """
    from icalendar import Calendar, vText  # here: the few who ask for a calendar load it, not every start

    if made.tzinfo is None:
        raise ValueError("`made` needs an offset")
    calendar = Calendar()
    calendar.add("prodid", _PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", vText(_text(name)))  # the library takes a name of its own for no text
    seen: set[str] = set()
    for event in events:
        if event.id in seen:
            raise ValueError(f"two events have the id {event.id!r}")
        seen.add(event.id)
        calendar.add_component(_entry(event, made))
    calendar.add_missing_timezones()
    content: bytes = calendar.to_ical()
    return content


def _entry(event: PlannedEvent, made: datetime) -> "Event":
    from icalendar import Alarm, Event

    for moment in (event.start, event.end):
        if isinstance(moment, datetime) and moment.tzinfo is None:
            raise ValueError(f"event {event.id!r} has a moment without a time zone")
    entry = Event()
    entry.add("uid", f"{event.id}@shot-to-ship.invalid")
    entry.add("dtstamp", made.astimezone(UTC))
    entry.add("dtstart", event.start)
    if event.end is not None:
        if isinstance(event.end, datetime) != isinstance(event.start, datetime) or event.end < event.start:
            raise ValueError(f"event {event.id!r} ends before it starts, or mixes a day with a moment")
        if event.end > event.start:
            entry.add("dtend", event.end)
    entry.add("summary", _text(event.title))
    entry.add("categories", [event.kind])
    if event.where:
        entry.add("location", _text(event.where))
    if event.notes:
        entry.add("description", _text(event.notes))
    # Days and order-by notes leave the maker free; work at a press or bench does not.
    works = event.kind in ("press", "bench") and isinstance(event.start, datetime)
    entry.add("transp", "OPAQUE" if works else "TRANSPARENT")
    if event.remind is not None:
        alarm = Alarm()
        alarm.add("action", "DISPLAY")
        alarm.add("description", _text(event.title))
        alarm.add("trigger", -event.remind)
        entry.add_component(alarm)
    return entry


def _text(text: str) -> str:
    """Line breaks as line feeds, and none of the control characters that RFC 5545 3.3.11 forbids."""
    return _CONTROL.sub("\ufffd", text.replace("\r\n", "\n").replace("\r", "\n"))

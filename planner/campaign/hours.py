"""Opening hours as a maker writes them: `{"mon-fri": "06:00-14:00, 14:30-22:00 x2"}`.

A key is a day (`mon`) or a range of days (`mon-fri`). A value lists spans, separated by commas; a span that
ends at or before its start runs into the next day; `24:00` is midnight; ` x3` after a span says how many people
are there (benches only). `closed` says the day has none.
"""

import re
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from typing import Annotated

from pydantic import AfterValidator, Field

from planner.campaign.base import Document

DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_SPAN = re.compile(r"^([0-2]\d):([0-5]\d)-([0-2]\d):([0-5]\d)(?: ?x ?(\d{1,3}))?$")


@dataclass(frozen=True)
class Span:
    """One stretch of a day, minutes after local midnight; `end` above 1440 runs into the next day.

    people: how many are there, None where not said.
    """

    start: int
    end: int
    people: int | None


def spans(text: str) -> tuple[Span, ...]:
    """The spans of one day. Raises ValueError in the maker's words."""
    if text.strip() in ("", "closed"):
        return ()
    found = []
    for piece in text.split(","):
        match = _SPAN.match(piece.strip())
        if not match:
            raise ValueError(f"`{piece.strip()}` is no span of hours; write it like `06:00-14:00`")
        h1, m1, h2, m2, people = match.groups()
        start, end = int(h1) * 60 + int(m1), int(h2) * 60 + int(m2)
        if start >= 1440 or end > 1440:
            raise ValueError(f"`{piece.strip()}` goes past 24:00; a span that ends after midnight is `22:00-06:00`")
        if end <= start:
            end += 1440
        found.append(Span(start, end, int(people) if people else None))
    found.sort(key=lambda s: s.start)
    for before, after in pairwise(found):
        if after.start < before.end:
            raise ValueError(f"`{text}` has spans that overlap; let each begin where the one before ends, or later")
    return tuple(found)


def days_of(key: str) -> tuple[int, ...]:
    """Weekday numbers (Monday 0) a key names. Raises ValueError in the maker's words."""
    first, _, last = key.partition("-")
    if first not in DAYS or (last and last not in DAYS):
        raise ValueError(f"`{key}` is no day; use mon, tue, wed, thu, fri, sat, sun or a range such as mon-fri")
    a = DAYS.index(first)
    b = DAYS.index(last) if last else a
    if b < a:
        raise ValueError(f"`{key}` runs backwards; write two entries")
    return tuple(range(a, b + 1))


def weekly(hours: dict[str, str]) -> dict[int, tuple[Span, ...]]:
    """Weekday number -> spans. Raises ValueError when a day is named twice or a span is unreadable."""
    week: dict[int, tuple[Span, ...]] = {}
    for key, text in hours.items():
        for day in days_of(key):
            if day in week:
                raise ValueError(f"`{DAYS[day]}` is named twice; say each day once")
            week[day] = spans(text)
    return week


def _readable_week(hours: dict[str, str]) -> dict[str, str]:
    weekly(hours)
    return hours


def _readable_days(hours: dict[date, str]) -> dict[date, str]:
    for text in hours.values():
        spans(text)
    return hours


def _readable_spans(text: str) -> str:
    spans(text)
    return text


DaySpans = Annotated[str, Field(max_length=200), AfterValidator(_readable_spans)]
WeeklyHours = Annotated[dict[str, str], Field(max_length=7), AfterValidator(_readable_week)]
DatedHours = Annotated[dict[date, str], Field(max_length=1000), AfterValidator(_readable_days)]


class Open(Document):
    """When something is open: the same every week, but for single dates."""

    hours: WeeklyHours = Field(
        default={"mon-fri": "08:00-16:00"}, description='by weekday, e.g. {"mon-fri": "06:00-22:00"}'
    )
    on_dates: DatedHours = Field(
        default={},
        description='single dates that differ, e.g. {"2027-01-16": "06:00-14:00", "2027-01-18": "closed"}',
    )

    @property
    def has_hours(self) -> bool:
        """Whether any day of the week, or any single date, has hours."""
        return any(spans(text) for text in (*self.hours.values(), *self.on_dates.values()))

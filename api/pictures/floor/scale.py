"""Where a moment stands on the sheet, and the days across its head."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import cached_property
from zoneinfo import ZoneInfo

from babel import Locale
from babel.dates import format_skeleton

from api.languages import wording
from api.languages.reading import now_reading
from api.pictures.drawing import text_width

GUTTER = 128.0
"""Room for names at the left, user units."""
MARGIN = 14.0
"""Room at the right."""
BESIDE = 4.0
"""Room between the names of two days."""


@dataclass(frozen=True)
class Day:
    """One day's column. name: what is written over it, if there is room. week: begins a week or the sheet."""

    x: float
    width: float
    date: date
    name: str
    week: bool


@dataclass(frozen=True)
class Scale:
    """A linear scale of real time from the first moment of one day to the first moment of another."""

    zone: ZoneInfo
    first: date
    count: int
    width: float

    @cached_property
    def start(self) -> datetime:
        return datetime.combine(self.first, time(), self.zone)

    @cached_property
    def end(self) -> datetime:
        return datetime.combine(self.first + timedelta(days=self.count), time(), self.zone)

    @cached_property
    def per_second(self) -> float:
        seconds = self.end.timestamp() - self.start.timestamp()
        return (self.width - GUTTER - MARGIN) / seconds

    @cached_property
    def _origin(self) -> float:
        return self.start.timestamp()

    def x(self, moment: datetime) -> float:
        """Across the sheet, also for moments beyond its edges."""
        return self.x_at(moment.timestamp())

    def x_at(self, seconds: float) -> float:
        """Of a moment in seconds since 1970, UTC."""
        return GUTTER + (seconds - self._origin) * self.per_second

    def clipped(self, start: datetime, end: datetime, least: float = 0.0) -> tuple[float, float] | None:
        """Left edge and width of what the sheet shows of a stretch; None if nothing."""
        edge = self.width - MARGIN
        left, right = self.x(start), self.x(end)
        if right < left or right < GUTTER or left > edge:
            return None
        left = max(GUTTER, left)
        return left, max(min(edge, right) - left, least)

    def shows(self, moment: datetime) -> bool:
        return self.start <= moment <= self.end

    def days(self) -> list[Day]:
        """Every day, named as far as there is room: weekday and day, day alone, or Mondays alone."""
        found = []
        for n in range(self.count):
            one = self.first + timedelta(days=n)
            left = self.x(datetime.combine(one, time(), self.zone))
            right = self.x(datetime.combine(one + timedelta(days=1), time(), self.zone))
            found.append(Day(left, right - left, one, _name(one, right - left), one.weekday() == 0 or n == 0))
        return found


def _name(one: date, width: float) -> str:
    """As much of a day as its column holds, in the reader's language: `Mon 11 Jan`, `Mon 11`, `11`."""
    ways = (wording.short_day(one), _weekday_and_day(one), f"{one:%d}")
    return next((way for way in ways if text_width(way) + BESIDE <= width), "")


def _weekday_and_day(one: date) -> str:
    language = now_reading().language
    if language == "en":
        return f"{wording.WEEKDAYS[one.weekday()]} {one:%d}"
    return f"{format_skeleton('E', one, locale=Locale.parse(language))} {one:%d}"

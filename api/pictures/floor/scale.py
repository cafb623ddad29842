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
    """One day's column. name: what is written over it, if there is room. week: begins a week or the sheet. headed: what
    is written over its week, if there is room."""

    x: float
    width: float
    date: date
    name: str
    week: bool
    headed: str


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
        heads, found = self._heads(), []
        for n in range(self.count):
            one = self.first + timedelta(days=n)
            left, right = self._begins(n), self._begins(n + 1)
            week = one.weekday() == 0 or n == 0
            found.append(Day(left, right - left, one, _name(one, right - left), week, heads.get(n, "")))
        return found

    def _heads(self) -> dict[int, str]:
        """Over which days what is written of their weeks: the first with its year, the others too where there is room
        before the next. Weeks that a head reaches into have none; the sheet's first days give way to its first Monday.
        """
        heads: dict[int, str] = {}
        mondays = [n for n in range(self.count) if (self.first + timedelta(days=n)).weekday() == 0]
        free = self._begins(0)
        for n in sorted({0, *mondays}):
            one, left = self.first + timedelta(days=n), self._begins(n)
            room = self._begins(min(n + 7 - one.weekday(), self.count)) - left
            if left < free or (n == 0 and mondays and _head_width(wording.short_day(one)) > room):
                continue
            whole = wording.day(one)
            head = whole if not heads or _head_width(whole) <= room else wording.short_day(one)
            if left + _head_width(head) <= self._begins(self.count):
                heads[n], free = head, left + _head_width(head)
        return heads

    def _begins(self, n: int) -> float:
        """The left edge of the sheet's nth day."""
        return self.x(datetime.combine(self.first + timedelta(days=n), time(), self.zone))


def _name(one: date, width: float) -> str:
    """As much of a day as its column holds, in the reader's language: `Mon 11 Jan`, `Mon 11`, `11`."""
    ways = (wording.short_day(one), _weekday_and_day(one), f"{one:%d}")
    return next((way for way in ways if text_width(way) + BESIDE <= width), "")


def _head_width(head: str) -> float:
    """What a week's head takes, with the room beside it; bold letters are about a twelfth wider."""
    return text_width(head, 12) + 2 * BESIDE


def _weekday_and_day(one: date) -> str:
    language = now_reading().language
    if language == "en":
        return f"{wording.WEEKDAYS[one.weekday()]} {one:%d}"
    return f"{format_skeleton('E', one, locale=Locale.parse(language))} {one:%d}"

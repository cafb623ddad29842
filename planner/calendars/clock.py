"""Wall-clock moments in the campaign's zone <-> whole seconds since its start."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

from planner.calendars.moments import first_moment


@dataclass(frozen=True)
class Clock:
    """Counts seconds from the campaign's start; a clock change makes a local day 23 or 25 hours long."""

    zone: ZoneInfo
    origin: datetime
    """The start, in UTC."""

    @classmethod
    def starting(cls, start: datetime, time_zone: str) -> "Clock":
        """A clock whose second 0 is the wall-clock moment `start` in `time_zone`."""
        zone = ZoneInfo(time_zone)
        return cls(zone, start.replace(tzinfo=zone).astimezone(UTC))

    def seconds(self, moment: date | datetime) -> int:
        """Seconds from the start to a wall-clock moment; a bare date is its first moment. Negative before the start."""
        local = first_moment(moment)
        utc = _in_utc(local, self.zone) if local.tzinfo is None else local.astimezone(UTC)
        return round((utc - self.origin).total_seconds())

    def moment(self, seconds: int) -> datetime:
        """The wall-clock moment, with offset, that many seconds after the start."""
        return (self.origin + timedelta(seconds=int(seconds))).astimezone(self.zone)

    def day(self, seconds: int) -> date:
        """The local calendar day on which that second falls."""
        return self.moment(seconds).date()

    def midnights(self, first: date, count: int) -> tuple[int, ...]:
        """Seconds from the start to the first moments of `count` days, one after the other."""
        return _midnights(self, first, count)

    @property
    def first_day(self) -> date:
        return self.day(0)


@lru_cache(maxsize=16)
def _midnights(clock: Clock, first: date, count: int) -> tuple[int, ...]:
    """All presses and benches of a workshop are laid out over the same days."""
    return tuple(clock.seconds(first + timedelta(days=n)) for n in range(count))


@lru_cache(maxsize=8192)
def _in_utc(local: datetime, zone: ZoneInfo) -> datetime:
    """Presses and benches open at the same moments, over and over. `fold` is 0, so that equal moments are the same."""
    return local.replace(tzinfo=zone).astimezone(UTC)

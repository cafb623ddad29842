"""Wall-clock moments in the campaign's zone <-> whole seconds since its start."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
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
        if local.tzinfo is None:
            local = local.replace(tzinfo=self.zone)
        return round((local.astimezone(UTC) - self.origin).total_seconds())

    def moment(self, seconds: int) -> datetime:
        """The wall-clock moment, with offset, that many seconds after the start."""
        return (self.origin + timedelta(seconds=int(seconds))).astimezone(self.zone)

    def day(self, seconds: int) -> date:
        """The local calendar day on which that second falls."""
        return self.moment(seconds).date()

    @property
    def first_day(self) -> date:
        return self.day(0)

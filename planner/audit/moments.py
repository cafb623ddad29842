"""Wall-clock time of the campaign's zone to seconds since 1970 (UTC) and back."""

from datetime import date, datetime, time, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo


class Clock:
    """The clock on the workshop's wall. All rules count in its whole UTC seconds."""

    def __init__(self, zone: str) -> None:
        self.zone = ZoneInfo(zone)

    def at(self, when: date | datetime) -> int:
        """Second of a day's first moment, or of a wall-clock moment.

        A wall-clock time that happens twice means its first passing; one that is skipped is read with the
        offset that held before the clocks went forward.
        """
        wall = when if isinstance(when, datetime) else datetime.combine(when, time(0))
        return int(wall.replace(tzinfo=self.zone).timestamp())

    def second(self, moment: datetime) -> int:
        """Second of a moment in the plan; one without an offset is taken to be wall-clock time."""
        return int(moment.timestamp()) if moment.tzinfo is not None else self.at(moment)

    def minute_of_day(self, day: date, minutes: int) -> int:
        """Second at which the wall clock shows so many minutes after the day's midnight, 1440 and more the next day."""
        return self.at(datetime.combine(day + timedelta(days=minutes // 1440), time(minutes // 60 % 24, minutes % 60)))

    def day(self, second: int) -> date:
        """The calendar day in the zone."""
        return datetime.fromtimestamp(second, self.zone).date()

    def say(self, second: int) -> str:
        """The moment as a person says it."""
        return _said(self.zone, second)

    def well_written(self, moment: datetime) -> bool:
        """True for a whole second with the offset that the zone has at that moment."""
        if moment.tzinfo is None or moment.microsecond:
            return False
        return moment.utcoffset() == moment.astimezone(self.zone).utcoffset()


@lru_cache(maxsize=20_000)
def _said(zone: ZoneInfo, second: int) -> str:
    # Kept: every rule says the same few thousand moments, whether or not anything is wrong with them.
    return datetime.fromtimestamp(second, zone).strftime("%a %d %b %Y %H:%M:%S")

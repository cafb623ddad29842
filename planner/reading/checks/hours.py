"""Open hours as the checks need them: how long the longest stretch is, and how much there is in all."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import lru_cache
from typing import Self

from planner.calendars.clock import Clock
from planner.calendars.others import press_stretches
from planner.calendars.places import wall
from planner.calendars.stretches import Stretch, stretches
from planner.campaign.benches import Bench
from planner.campaign.document import Campaign
from planner.campaign.hours import Open
from planner.campaign.presses import Press

REACH_DAYS = 3650
"""A campaign that needs longer than ten years is taken for a slip of the pen."""


LOOK_DAYS = (45, 540, REACH_DAYS)
"""Calendars are laid out no further than a question needs."""


def look_days(campaign: Campaign, said: Iterable[date]) -> list[int]:
    """How far calendars are laid out, one after the other: to the last single date that is said, if that is further."""
    last = max((day - campaign.start.date() for day in said), default=timedelta()).days
    return [*LOOK_DAYS, *([last + 1] if last >= REACH_DAYS else [])]


@dataclass(frozen=True)
class Summed:
    """Open stretches of so many days. longest: seconds of the longest with anybody there. seconds: person-seconds."""

    longest: int
    seconds: int

    @classmethod
    def of(cls, open_at: Sequence[Stretch]) -> Self:
        """Of a calendar as it is laid out."""
        return cls(
            max((s.end - s.start for s in open_at if s.people), default=0),
            sum((s.end - s.start) * s.people for s in open_at),
        )


class OpenHours:
    """Open hours of a press or bench, asked three questions. Person-seconds of a press are its open seconds."""

    def __init__(self, campaign: Campaign, of: Open, people: int | None = None) -> None:
        self._campaign, self._of, self._people = campaign, of, people
        self._summed: dict[int, Summed] = {}
        self._looks = look_days(campaign, of.on_dates)

    def _within(self, days: int) -> Summed:
        if days not in self._summed:
            made = self._campaign
            if isinstance(self._of, Press) and (self._of.others or self._of.place):
                self._summed[days] = Summed.of(press_stretches(made, self._of, clock_of(made), days)[0])
                return self._summed[days]
            of = self._of.model_dump_json(include=set(Open.model_fields))
            closed, start, zone = made.closed_days, made.start, made.time_zone
            if isinstance(self._of, Bench) and self._of.place in made.places:
                beside, closed = wall(made, self._of, clock_of(made))
                start, zone = beside.moment(0).replace(tzinfo=None), str(beside.zone)
            self._summed[days] = _laid_out(of, tuple(closed), start, zone, days, self._people)
        return self._summed[days]

    def longest(self, wanted: float = 1) -> int:
        """Seconds of the longest stretch, or of one that is at least `wanted`; 0 when it never opens."""
        best = 0
        for days in self._looks:
            best = self._within(days).longest
            if best >= wanted:
                break
        return best

    def enough(self, work: float) -> bool:
        """Whether so many person-seconds of work fit within reach."""
        return any(self._within(days).seconds >= work for days in self._looks)

    def seconds(self) -> int:
        """Person-seconds within reach."""
        return self._within(self._looks[-1]).seconds


@lru_cache(maxsize=64)
def _laid_out(
    of: str, closed: tuple[date, ...], start: datetime, time_zone: str, days: int, people: int | None
) -> Summed:
    """Presses of a workshop mostly have the same hours, and its next campaign has them too. of: the hours as JSON."""
    clock = Clock.starting(start, time_zone)
    open_at = stretches(Open.model_validate_json(of), closed, clock, days, people or 1, headcount=people is not None)
    return Summed.of(open_at)


def clock_of(campaign: Campaign) -> Clock:
    """The campaign's clock."""
    return Clock.starting(campaign.start, campaign.time_zone)


def in_words(seconds: float) -> str:
    """A length of time as people say it."""
    if seconds < 5400:
        return f"{seconds / 60:.0f} min"
    if seconds < 90000:
        return f"{seconds / 3600:.1f} h"
    if seconds < 86400 * 900:
        return f"{seconds / 86400:.0f} days"
    return f"{seconds / 86400 / 365:.0f} years"

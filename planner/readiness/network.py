"""The steps left before tools make good parts, laid out in time.

A step begins when those before it are done and whoever does it is free; of steps that a person could begin at the same
moment the one listed first goes first. What was not done at a moment the maker names is done the next day at the
earliest.

The same layout serves the plan (likely days) and every scenario of a promise (days drawn).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property
from math import floor
from typing import NamedTuple

from planner.calendars.moments import day_of
from planner.campaign import Campaign
from planner.campaign.hours import DAYS
from planner.campaign.tool_steps import ToolStep
from planner.readiness.working_days import HAIR, Advance, calendar_days, day_from, position, working_days

When = date | datetime
StepOf = tuple[str, str]
"""(tool, step)"""


class Waited(NamedTuple):
    """What a step's begin waited for. kind: `start`, `step` (done before it), `person` (busy with another one) or `day`
    (not before). step: (tool, step) for the middle two."""

    kind: str
    step: StepOf | None


class Laid(NamedTuple):
    """A step in time, positions in days from the first day."""

    begin: float
    end: float
    waited: Waited


@dataclass(frozen=True)
class _Entry:
    of: StepOf
    step: ToolStep
    before: tuple[int, ...]
    first: float
    earliest: float
    done: float | None
    least_end: float
    advance: Advance


class Network:
    """All steps of all tools of a campaign. Toolmakers work on one step at a time, whichever tool it is of."""

    def __init__(self, campaign: Campaign) -> None:
        self.campaign = campaign
        start = campaign.start.date()
        froms = [tool.steps_from for tool in campaign.tools.values() if tool.until_ready and tool.steps_from]
        self.first = min([start, *(day_of(f) for f in froms)])
        self._entries: list[_Entry] = []
        for name, tool in campaign.tools.items():
            begin = position(tool.steps_from or start, self.first)
            numbers: dict[str, int] = {}
            last: str | None = None
            for step_id, step in tool.until_ready.items():
                names = step.after if step.after is not None else ([last] if last is not None else [])
                earliest = begin if step.not_before is None else max(begin, position(step.not_before, self.first))
                done = None if step.done is None else position(step.done, self.first)
                stood = None if tool.steps_as_of is None else position(tool.steps_as_of, self.first)
                least_end = 0.0 if stood is None else floor(stood) + 1.0
                before = tuple(numbers[n] for n in names if n in numbers)
                numbers[step_id] = len(self._entries)
                self._entries.append(
                    _Entry((name, step_id), step, before, begin, earliest, done, least_end, self._advance(step))
                )
                last = step_id

    def _advance(self, step: ToolStep) -> Advance:
        if step.by is None:
            return calendar_days
        maker = self.campaign.toolmakers.get(step.by)
        if maker is None:  # refused by the cross-checks, which may ask for a calendar first
            return calendar_days
        weekdays = frozenset(DAYS.index(day) for day in maker.works_on)
        return working_days(self.first, weekdays, frozenset(maker.closed_days))

    @cached_property
    def likely(self) -> dict[StepOf, Laid]:
        """Every step in time if all goes as expected."""
        return self.laid({entry.of: entry.step.likely_days for entry in self._entries})

    def laid(self, days: Mapping[StepOf, float]) -> dict[StepOf, Laid]:
        """Every step in time, given the days it takes. What is done ended when it was done."""
        found: list[Laid | None] = [None] * len(self._entries)
        free: dict[str, tuple[float, StepOf]] = {}
        open_steps = []
        for n, entry in enumerate(self._entries):
            if entry.done is not None:
                found[n] = Laid(entry.done, entry.done, Waited("start", None))
            else:
                open_steps.append(n)
        while open_steps:
            begins = [(self._begin(n, found, free), n) for n in open_steps]
            able = [(laid[0], n, laid[1]) for laid, n in begins if laid is not None]
            at, n, waited = min(able, key=lambda one: (round(one[0] / HAIR), one[1]))
            entry = self._entries[n]
            end = max(entry.least_end, entry.advance(at, max(0.0, days[entry.of])))
            found[n] = Laid(at, end, waited)
            if entry.step.by is not None:
                free[entry.step.by] = (end, entry.of)
            open_steps.remove(n)
        return {entry.of: laid for entry, laid in zip(self._entries, found, strict=True) if laid is not None}

    def _begin(
        self, n: int, found: list[Laid | None], free: Mapping[str, tuple[float, StepOf]]
    ) -> tuple[float, Waited] | None:
        """When a step can begin and what it then waited for; None while one before it has no end yet."""
        entry = self._entries[n]
        at, waited = entry.earliest, Waited("day" if entry.earliest > entry.first else "start", None)
        for b in entry.before:
            laid = found[b]
            if laid is None:
                return None
            if laid.end > at + HAIR or (laid.end > at - HAIR and waited.kind == "start"):
                at, waited = laid.end, Waited("step", self._entries[b].of)
        if entry.step.by is not None and entry.step.by in free:
            end, of = free[entry.step.by]
            if end > at + HAIR:
                at, waited = end, Waited("person", of)
        return at, waited

    @property
    def still_to_do(self) -> list[tuple[StepOf, ToolStep]]:
        """The steps that are not done, as they are listed."""
        return [(entry.of, entry.step) for entry in self._entries if entry.done is None]

    def ends(self, laid: Mapping[StepOf, Laid]) -> dict[str, tuple[float, StepOf]]:
        """Tool -> when the last of its steps is done, and which one that is."""
        last: dict[str, tuple[float, StepOf]] = {}
        for of, one in laid.items():
            if of[0] not in last or one.end > last[of[0]][0] + HAIR:
                last[of[0]] = (one.end, of)
        return last

    def ready(self, laid: Mapping[StepOf, Laid]) -> dict[str, When]:
        """Tool -> the day (or, where its last step is done, that very moment) from which it makes good parts."""
        found: dict[str, When] = {}
        for tool, (end, of) in self.ends(laid).items():
            done = self.campaign.tools[of[0]].until_ready[of[1]].done
            found[tool] = done if done is not None else day_from(end, self.first)
        return found

    def chain(self, laid: Mapping[StepOf, Laid], tool: str) -> list[StepOf]:
        """The steps that decide when the tool is ready, from the last back to the first: each waited for the next."""
        at: StepOf | None = self.ends(laid)[tool][1]
        found = []
        while at is not None and at not in found:
            found.append(at)
            at = laid[at].waited.step
        return found

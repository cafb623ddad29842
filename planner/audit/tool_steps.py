"""When the steps left on tools are done: worked out anew, day by day, in fractions of a day (RULES.md, T1 to T3)."""

from collections.abc import Iterator, Mapping
from datetime import date, datetime, time, timedelta
from fractions import Fraction
from typing import NamedTuple

from planner.audit.figures import exact
from planner.campaign import Campaign
from planner.campaign.tool_steps import Toolmaker, ToolStep
from planner.campaign.tools import Tool
from planner.campaign.uncertainty import ThreePoint

WEEK = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
HAIR = Fraction(1, 10**9)


class StepTimes(NamedTuple):
    """A step's begin and end: wall-clock moments as (day, part of it)."""

    begin: Fraction
    end: Fraction


def steps_of(
    campaign: Campaign, takes: Mapping[tuple[str, str], Fraction] | None = None
) -> dict[tuple[str, str], StepTimes]:
    """(tool, step) -> its begin and end, in days since the first day there is. takes: days of steps that do not take
    their likely ones."""
    left = [(name, step_id) for name, tool in campaign.tools.items() for step_id in tool.until_ready]
    found: dict[tuple[str, str], StepTimes] = {}
    busy: dict[str, Fraction] = {}
    for name, step_id in list(left):
        done = campaign.tools[name].until_ready[step_id].done
        if done is not None:
            found[name, step_id] = StepTimes(since(done), since(done))
            left.remove((name, step_id))
    while left:
        able = []
        for place, (name, step_id) in enumerate(left):
            tool = campaign.tools[name]
            step = tool.until_ready[step_id]
            before = list(_before(tool, step_id))
            if any((name, other) not in found for other in before):
                continue
            moments = [since(tool.steps_from or campaign.start.date()), *(found[name, other].end for other in before)]
            moments += [since(step.not_before)] if step.not_before is not None else []
            moments += [busy[step.by]] if step.by in busy else []
            able.append((max(moments), place))
        begin, place = min(able)
        name, step_id = left.pop(place)
        step = campaign.tools[name].until_ready[step_id]
        days = (takes or {}).get((name, step_id), _likely(step))
        end = _after(begin, days, campaign.toolmakers.get(step.by or ""))
        stood = campaign.tools[name].steps_as_of
        if stood is not None:
            end = max(end, Fraction(since(stood) // 1 + 1))
        found[name, step_id] = StepTimes(begin, end)
        if step.by is not None:
            busy[step.by] = end
    return found


def ready_days(campaign: Campaign) -> dict[str, date | datetime | None]:
    """Tool -> when it can be mounted: as said, when the last of its steps is done, or when its trial is known to have
    worked, whichever is latest."""
    steps = steps_of(campaign)
    found: dict[str, date | datetime | None] = {}
    for name, tool in campaign.tools.items():
        wanted: list[tuple[Fraction, date | datetime]] = []
        if tool.ready is not None:
            wanted.append((since(tool.ready), tool.ready))
        last = max((steps[name, step_id].end for step_id in tool.until_ready), default=None)
        if last is not None:
            done = [
                step.done
                for step_id, step in tool.until_ready.items()
                if steps[name, step_id].end >= last - HAIR and step.done is not None
            ]
            whole = -((-last + HAIR) // 1)
            wanted.append((since(done[0]), done[0]) if done else (Fraction(whole), date.fromordinal(int(whole))))
        known = tried(campaign, name)
        if known is not None:
            wanted.append((since(known), known))
        found[name] = max(wanted, key=lambda one: one[0])[1] if wanted else None
    return found


def tried(campaign: Campaign, tool: str) -> date | datetime | None:
    """When it is known whether the trial on a day worked: at its end, or then, and what its approval takes."""
    said = campaign.uncertainty.tools.get(tool) if campaign.uncertainty is not None else None
    trial = said.first_trial if said is not None else None
    if trial is None or trial.on is None:
        return None
    first = trial.on if isinstance(trial.on, datetime) else trial.on + timedelta(days=1)
    return first + timedelta(days=trial.approval_days)


def since(moment: date | datetime) -> Fraction:
    """Days, and parts of a day by the clock on the wall, since the first day there is."""
    if isinstance(moment, datetime):
        seconds = moment.hour * 3600 + moment.minute * 60 + moment.second
        return Fraction(moment.toordinal()) + Fraction(seconds, 86400)
    return Fraction(moment.toordinal())


def wall(at: Fraction) -> datetime:
    """The wall-clock moment of so many days since the first day, to the second."""
    day = int(at // 1)
    return datetime.combine(date.fromordinal(day), time(0)) + timedelta(seconds=round((at - day) * 86400))


def _before(tool: Tool, step_id: str) -> Iterator[str]:
    step, listed = tool.until_ready[step_id], list(tool.until_ready)
    if step.after is not None:
        yield from step.after
    elif (place := listed.index(step_id)) > 0:
        yield listed[place - 1]


def _likely(step: ToolStep) -> Fraction:
    return exact(max(0.0, step.days.likely) if isinstance(step.days, ThreePoint) else step.days)


def _after(begin: Fraction, days: Fraction, maker: Toolmaker | None) -> Fraction:
    """The moment at which so many days of work are done, begun then: one day after the other is used up."""
    if maker is None or days == 0:
        return begin + days
    at = begin
    while True:
        day = date.fromordinal(int(at // 1))
        room = Fraction(int(at // 1) + 1) - at
        if WEEK[day.weekday()] in maker.works_on and day not in maker.closed_days:
            if days <= room:
                return at + days
            days -= room
        at = Fraction((day + timedelta(days=1)).toordinal())

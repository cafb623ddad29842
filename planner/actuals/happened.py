"""What a stretch of the floor's log says, in words for people outside: what was done and came, and what comes later.

No dates: what a record means for a date is the simulation's to say.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from datetime import date, datetime

from planner.actuals.entries import (
    AnyEntry,
    Assembled,
    CameBack,
    Delivered,
    LotResult,
    Ordered,
    Packed,
    ShotsMade,
    StepDone,
    Stopped,
    ToolNews,
)
from planner.campaign import Campaign
from planner.readiness import ready_of, step_words
from planner.slips.words import days, listed


def happened(campaign: Campaign, entries: Iterable[AnyEntry]) -> list[str]:
    """One line for each kind of thing that happened."""
    shots: Counter[str] = Counter()
    came: defaultdict[tuple[str, str], float] = defaultdict(float)
    ordered: defaultdict[tuple[str, str], float] = defaultdict(float)
    assembled: Counter[str] = Counter()
    packed: Counter[str] = Counter()
    back: Counter[bool] = Counter()
    stood: defaultdict[str, float] = defaultdict(float)
    rejected: Counter[str] = Counter()
    news: dict[str, ToolNews] = {}
    steps: list[str] = []
    for entry in entries:
        match entry:
            case ShotsMade():
                shots[entry.tool] += entry.shots
            case Delivered():
                came[entry.of, entry.id] += entry.amount
            case Ordered():
                ordered[entry.of, entry.id] += entry.amount
            case Assembled():
                assembled[entry.product] += entry.units
            case Packed():
                if entry.line < len(campaign.orders):
                    packed[campaign.orders[entry.line].tier] += entry.parcels
            case CameBack():
                back[entry.again] += entry.parcels
            case Stopped():
                stood[entry.press] += entry.hours
            case LotResult():
                if not entry.accepted:
                    rejected[entry.part] += entry.pieces
            case ToolNews():
                news[entry.tool] = entry
            case StepDone():
                steps.append(step_words(campaign, entry.tool, entry.step))
    said = [_of_tool(campaign, name, told) for name, told in sorted(news.items())]
    said += [f"done on tools: {listed(steps)}"] if steps else []
    said += [f"came: {_amounts(came)}"] if came else []
    said += [f"ordered: {_amounts(ordered)}"] if ordered else []
    said += (
        [f"moulded: {listed([f'{n:,} shots of {tool}' for tool, n in sorted(shots.items()) if n])}"]
        if any(shots.values())
        else []
    )
    said += [f"rejected: {listed([f'{n:,} {part}' for part, n in sorted(rejected.items())])}"] if rejected else []
    said += [f"assembled: {listed([f'{n:,} {name}' for name, n in sorted(assembled.items())])}"] if assembled else []
    said += [f"packed: {listed([f'{n:,} parcels of {tier}' for tier, n in sorted(packed.items())])}"] if packed else []
    said += [f"did not arrive and goes out again: {back[True]:,} parcels"] if back[True] else []
    said += [f"press {press} stood still for {hours:.0f} hours" for press, hours in sorted(stood.items()) if hours >= 1]
    return said


def _of_tool(campaign: Campaign, name: str, told: ToolNews) -> str:
    if told.ready is None:
        return f"the {name} tool is here and good"
    planned = ready_of(campaign, name) if name in campaign.tools else None
    before = campaign.start if planned is None else planned
    later = (_day(told.ready) - _day(before)).days
    if later == 0:
        return f"the {name} tool comes as planned"
    return f"the {name} tool comes {days(abs(later))} {'later' if later > 0 else 'earlier'} than planned"


def _day(moment: date | datetime) -> date:
    return moment.date() if isinstance(moment, datetime) else moment


def _amounts(of: Mapping[tuple[str, str], float]) -> str:
    return listed(
        [f"{amount:,g} {'' if kind == 'piece' else 'kg of '}{name}" for (kind, name), amount in sorted(of.items())]
    )

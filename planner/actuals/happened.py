"""What a stretch of the floor's log says, in words for people outside: what was done and came, and what comes later.

No dates: what a record means for a date is the simulation's to say.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping

from planner.actuals.entries import (
    AnyEntry,
    Assembled,
    CameBack,
    Delivered,
    LotResult,
    Ordered,
    Packed,
    PartsFinished,
    ShotsMade,
    StepDone,
    Stopped,
    SubAssembled,
    ToolNews,
    TurnedOut,
)
from planner.calendars.moments import day_of
from planner.campaign import Campaign
from planner.plan.phrases import days, listed, mould_of
from planner.readiness import ready_of, step_words
from planner.settled import thing_of
from planner.settled.things import trial_id


def happened(campaign: Campaign, entries: Iterable[AnyEntry]) -> list[str]:
    """One line for each kind of thing that happened."""
    made: Counter[str] = Counter()
    came: defaultdict[tuple[str, str], float] = defaultdict(float)
    ordered: defaultdict[tuple[str, str], float] = defaultdict(float)
    finished: Counter[str] = Counter()
    put: Counter[str] = Counter()
    assembled: Counter[str] = Counter()
    packed: Counter[str] = Counter()
    back: Counter[bool] = Counter()
    stood: defaultdict[str, float] = defaultdict(float)
    rejected: Counter[str] = Counter()
    news: dict[str, ToolNews] = {}
    steps: list[str] = []
    turned: list[str] = []
    for entry in entries:
        match entry:
            case ShotsMade():
                _count_parts(campaign, entry, made)
            case Delivered():
                came[entry.of, entry.id] += entry.amount
            case Ordered():
                ordered[entry.of, entry.id] += entry.amount
            case Assembled():
                assembled[entry.product] += entry.units
            case SubAssembled():
                put[f"{entry.sub_assembly} of {entry.product}"] += entry.units
            case PartsFinished():
                finished[entry.part] += entry.parts
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
            case TurnedOut():
                turned += _turned(campaign, entry)
            case StepDone():
                steps.append(step_words(campaign, entry.tool, entry.step))
    said = [_of_tool(campaign, name, told) for name, told in sorted(news.items())]
    said += turned
    said += [f"done on the moulds: {listed(steps)}"] if steps else []
    said += [f"came: {_amounts(came)}"] if came else []
    said += [f"ordered: {_amounts(ordered)}"] if ordered else []
    said += [f"moulded: {_each(made)}"] if any(made.values()) else []
    said += [f"inspected and not good enough: {_each(rejected)}"] if rejected else []
    said += [f"printed, painted or otherwise finished: {_each(finished)}"] if any(finished.values()) else []
    said += [f"put together before the last assembly: {_each(put)}"] if put else []
    said += [f"put together: {_each(assembled)}"] if assembled else []
    said += [f"packed: {listed([f'{n:,} parcels of {tier}' for tier, n in sorted(packed.items())])}"] if packed else []
    said += [f"did not arrive and goes out again: {back[True]:,} parcels"] if back[True] else []
    hours = sum(stood.values())
    said += [f"a machine stood still for {hours:.0f} {'hour' if round(hours) == 1 else 'hours'}"] if hours >= 1 else []
    return said


def _turned(campaign: Campaign, entry: TurnedOut) -> list[str]:
    thing = thing_of(campaign, entry.thing)
    if thing is None:
        return []
    trial = next((name for name in campaign.tools if trial_id(name) == thing.id), None)
    about = thing.about if trial is None else f"the trial of {mould_of(campaign, trial)}"
    return [f"{about}: {turn.words}" for turn in thing.turns if turn.id == entry.outcome]


def _count_parts(campaign: Campaign, entry: ShotsMade, made: Counter[str]) -> None:
    """Good parts of the shots: as counted, else all that the cavities gave."""
    tool = campaign.tools.get(entry.tool)
    if tool is None:
        return
    for part, cavities in tool.cavities.items():
        made[part] += entry.good.get(part, entry.shots * (cavities - tool.blocked_cavities.get(part, 0)))


def _each(amounts: Mapping[str, int]) -> str:
    """`1,200 lid and 40 rim`."""
    return listed([f"{n:,} {name}" for name, n in sorted(amounts.items()) if n])


def _of_tool(campaign: Campaign, name: str, told: ToolNews) -> str:
    mould = mould_of(campaign, name)
    if told.ready is None:
        return f"{mould} is here and good"
    planned = ready_of(campaign, name) if name in campaign.tools else None
    before = campaign.start if planned is None else planned
    later = (day_of(told.ready) - day_of(before)).days
    if later == 0:
        return f"{mould} comes as planned"
    return f"{mould} comes {days(abs(later))} {'later' if later > 0 else 'earlier'} than planned"


def _amounts(of: Mapping[tuple[str, str], float]) -> str:
    return listed(
        [f"{amount:,g} {'' if kind == 'piece' else 'kg of '}{name}" for (kind, name), amount in sorted(of.items())]
    )

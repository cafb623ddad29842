"""Other places, from the campaign: clock and holidays of presses and benches, setters, when lots come."""

from collections.abc import Collection
from datetime import date, datetime, time, timedelta

from planner.audit.moments import Clock
from planner.campaign import Campaign
from planner.campaign.benches import Bench
from planner.campaign.hours import DAYS
from planner.campaign.presses import Press
from planner.plan.document import RunPlan

LONGEST = timedelta(days=3000)


def local_calendar(campaign: Campaign, of: Press | Bench, clock: Clock) -> tuple[Clock, list[date]]:
    """The clock on the wall beside a press or bench, and the holidays kept there."""
    if of.place is None:
        return clock, campaign.closed_days
    place = campaign.places[of.place]
    return Clock(place.time_zone or campaign.time_zone), place.closed_days


def setters_of(campaign: Campaign, press: Press) -> tuple[int, float]:
    """How many setters there are where a press stands, and what an hour of one costs."""
    there = campaign.floor if press.place is None else campaign.places[press.place]
    return there.setters, there.setter_rate_per_hour


def who_stay(campaign: Campaign, press: Press) -> tuple[int, float]:
    """How many people can stay at presses at once where a press stands, and what an hour of one costs."""
    there = campaign.floor if press.place is None else campaign.places[press.place]
    return there.operators, there.operator_rate_per_hour


def as_run(campaign: Campaign, plan: RunPlan) -> Campaign:
    """The campaign without the presses of tools, and of what hangs together with them, that stand at other places than
    those where the plan runs them. What the plan runs at two places stays with the first it names."""
    if not campaign.places:
        return campaign
    at: dict[str, str | None] = {}
    for run in plan.runs:
        if run.press in campaign.presses:
            at.setdefault(run.tool, campaign.presses[run.press].place)
    tools = dict(campaign.tools)
    for name, tool in tools.items():
        beside = [name, *(other for other in tools if other != name and _alike(campaign, name, other))]
        known = next((at[other] for other in beside if other in at), None)
        named = {campaign.presses[one].place for one in tool.presses if one in campaign.presses}
        if any(other in at for other in beside) and (name in at or len(named) > 1):
            here = [one for one in tool.presses if one in campaign.presses and campaign.presses[one].place == known]
            tools[name] = tool.model_copy(update={"presses": here})
    return campaign.model_copy(update={"tools": tools})


def at_two_places(campaign: Campaign, plan: RunPlan) -> list[str]:
    """What a plan runs at two places at once: tools, those of one base, and those that make one part, where that is not
    so that one of the two places takes it."""
    found = []
    at = {run.tool: campaign.presses[run.press].place for run in plan.runs if run.press in campaign.presses}
    for run in plan.runs:
        for other, place in at.items():
            if run.press in campaign.presses and campaign.presses[run.press].place != place:
                if other == run.tool:
                    found.append(f"tool `{other}` runs at two places")
                elif run.tool in campaign.tools and other in campaign.tools and _alike(campaign, run.tool, other):
                    a, b = campaign.tools[run.tool], campaign.tools[other]
                    places = {place, campaign.presses[run.press].place}
                    if (a.base is not None and a.base == b.base) or not all(
                        _may_come_from(campaign, part, places) for part in {*a.cavities, *b.cavities}
                    ):
                        found.append(f"tools `{run.tool}` and `{other}` go together and run at two places")
    return sorted({*found, *_dried_at_two(campaign, plan)})


def _may_come_from(campaign: Campaign, part: str, places: set[str | None]) -> bool:
    """Whether a part may be moulded at two places at once: one of them takes it, no firm works on it, and it is neither
    moulded over others nor goes into a mould."""
    made = campaign.parts[part]
    into = {one.part for other in campaign.parts.values() if other.moulded_over for one in other.moulded_over.parts}
    firms = any(step.at in campaign.finishing_firms for step in made.finishing)
    return taken_to(campaign, part) in places and not firms and made.moulded_over is None and part not in into


def _dried_at_two(campaign: Campaign, plan: RunPlan) -> list[str]:
    """Resins that are dried, and that a plan moulds at several places."""
    at: dict[str, set[str | None]] = {}
    for run in plan.runs:
        if run.press in campaign.presses:
            for melt in run.melts:
                at.setdefault(melt.rpartition("/")[0], set()).add(campaign.presses[run.press].place)
    return [
        f"resin `{name}` is dried, and moulded at two places"
        for name, where in at.items()
        if len(where) > 1 and name in campaign.resins and campaign.resins[name].drying_hours > 0
    ]


def _alike(campaign: Campaign, one: str, other: str) -> bool:
    a, b = campaign.tools[one], campaign.tools[other]
    return bool(set(a.cavities) & set(b.cavities)) or (a.base is not None and a.base == b.base)


def brought_from(campaign: Campaign, part: str, tools: Collection[str] | None = None) -> str | None:
    """The place where a part is moulded, or what some tools mould of it, if that is not our own floor."""
    for name, tool in campaign.tools.items():
        if part in tool.cavities and (tools is None or name in tools):
            for press in tool.presses:
                if press in campaign.presses and campaign.presses[press].place is not None:
                    return campaign.presses[press].place
    return None


def taken_to(campaign: Campaign, part: str) -> str | None:
    """The place at which a moulded part is worked on, put together, moulded over or assembled first, if that is not our
    own floor."""
    for step in campaign.parts[part].finishing:
        if step.at in campaign.finishing_benches:
            return campaign.finishing_benches[step.at].place
    for name, other in campaign.parts.items():
        if other.moulded_over is not None and part in {one.part for one in other.moulded_over.parts}:
            return brought_from(campaign, name)
    for product in campaign.products.values():
        for sub in product.sub_assemblies.values():
            if part in sub.parts and part in product.parts and sub.at in campaign.finishing_benches:
                return campaign.finishing_benches[sub.at].place
    return campaign.assembly.place


def route(begin: str | None, end: str | None) -> list[tuple[str, bool]]:
    """(place, whether from our floor to it) of each way from one place to another; None is our own floor."""
    if begin == end:
        return []
    return [(place, out) for place, out in ((begin, False), (end, True)) if place is not None]


def way(campaign: Campaign, name: str, out: bool, start: int, second: int) -> tuple[int, int] | None:
    """(leaves, arrives) of what is there to leave a place, or our floor for it, at that second (UTC); start: of the
    campaign."""
    place = campaign.places[name]
    ours, theirs = Clock(campaign.time_zone), Clock(place.time_zone or campaign.time_zone)
    here, there = (ours, campaign.closed_days), (theirs, place.closed_days)
    (clock, shut), (clock_then, shut_then) = (here, there) if out else (there, here)
    days = place.here_days if not out or place.there_days is None else place.there_days
    leaves_at, comes_at = time.fromisoformat(place.time), time.fromisoformat(place.arrives)
    day = clock.day(second) - timedelta(days=1)
    last = day + LONGEST
    while day < last:
        leaves = clock.at(datetime.combine(day, leaves_at))
        if leaves >= max(second, start) and DAYS[day.weekday()] in place.leaves and day not in shut:
            comes = day + timedelta(days=days)
            while comes in shut_then or clock_then.at(datetime.combine(comes, comes_at)) < leaves:
                comes += timedelta(days=1)
            return leaves, clock_then.at(datetime.combine(comes, comes_at))
        day += timedelta(days=1)
    return None

"""At which place a tool works that may go to several (RULES.md, F11): all tools that hang together by their parts or a
base are at one, and those of them that cannot go there make nothing; or each is where it may be, and they make their
parts at two places at once."""

from collections.abc import Iterator
from itertools import islice, product
from math import prod
from typing import Literal, NamedTuple

from planner.campaign import Campaign
from planner.campaign.dryer_rate import dryers_to_plan
from planner.campaign.fit import fitting
from planner.campaign.operators import enough_operators
from planner.campaign.planning import MadeAt
from planner.campaign.whereabouts import places_of, taken_at, taken_piece_at
from planner.demand.shared_parts import makers

MOST_WAYS = 16
"""Ways in which tools may stand at places, each of which is looked at and bounded."""

Standing = dict[str, str]
"""Tool -> the place where it works; `""`: our own floor."""


Why = Literal["firm", "over", "into", "dried", "base"]
"""Why tools that make one part stay at one place: it is finished at a firm, moulded over others, goes into a mould, its
resin is dried, or they are inserts of one base."""


class KeptTogether(NamedTuple):
    """Tools that might be at two places at once, but for what is done with what they make. of: the part, resin or base
    that it is about."""

    tools: tuple[str, ...]
    why: Why
    of: str


class Group(NamedTuple):
    """Tools that hang together, and how they may stand. named: the places in which their presses stand; together: all
    of them at one place; apart: at two at once."""

    tools: tuple[str, ...]
    named: tuple[str, ...]
    together: tuple[Standing, ...]
    apart: tuple[Standing, ...]

    def standings(self, apart: bool) -> tuple[Standing, ...]:
        """How its tools may stand, at two places at once where that is looked at."""
        return self.together + self.apart if apart else self.together or self.apart[:1]


def groups(campaign: Campaign) -> list[Group]:
    """Tools whose presses stand at several places, with all that hang together with them; sorted."""
    if not campaign.places:
        return []
    found = []
    for tools in _hanging_together(campaign):
        named = places_of(campaign, (press for tool in tools for press in campaign.tools[tool].presses))
        if len(named) > 1:
            together = tuple(dict.fromkeys(tools, at) for at in named if _may_be(campaign, tools, at))
            apart = _apart(campaign, tools, named)
            said = _said(campaign, tools)
            if said in apart or _lies_unfinished(campaign, tools):
                together = ()
                apart = [said] if said in apart else apart
            found.append(Group(tools, tuple(named), together, tuple(apart)))
    return found


def ways(campaign: Campaign) -> list[Standing]:
    """Every way in which tools may stand, the same ones first each time; none where no tool has a choice."""
    return list(islice(_ways(campaign, groups(campaign)), MOST_WAYS))


def kept_together(campaign: Campaign) -> list[KeptTogether]:
    """Tools that are at one place all together though their presses stand at several, and what keeps them there: a line
    for each part, resin or base that does."""
    found = []
    for group in groups(campaign):
        if len(group.tools) < 2:
            continue
        bases = {campaign.tools[tool].base for tool in group.tools}
        if len(bases) == 1 and (base := bases.pop()) is not None:
            found.append(KeptTogether(group.tools, "base", base))
            continue
        parts = sorted({part for tool in group.tools for part in campaign.tools[tool].cavities} & campaign.parts.keys())
        whys = {part: why for part in parts if (why := _keeps_together(campaign, part)) is not None}
        found += [KeptTogether(group.tools, why, part) for part, why in whys.items()]
        resins = {barrel.resin for part in parts for barrel in campaign.parts[part].barrels} & campaign.resins.keys()
        found += [
            KeptTogether(group.tools, "dried", one) for one in sorted(resins) if campaign.resins[one].drying_hours > 0
        ]
    return found


def number_of_ways(found: list[Group], apart: bool = False) -> int:
    """In how many ways groups of tools may stand, whether or not they go together."""
    return prod(len(group.standings(apart)) for group in found)


def at_places(campaign: Campaign, way: Standing) -> Campaign:
    """The campaign with tools at those places alone: presses elsewhere are none of theirs."""
    tools = {
        name: tool.model_copy(
            update={"presses": [one for one in tool.presses if places_of(campaign, [one]) == [way[name]]]}
        )
        if name in way
        else tool
        for name, tool in campaign.tools.items()
    }
    made_at = [MadeAt(tool=tool, place=place or None) for tool, place in sorted(way.items())]
    planning = campaign.planning.model_copy(update={"made_at": made_at})
    return campaign.model_copy(update={"tools": tools, "planning": planning})


def settled(campaign: Campaign) -> Campaign:
    """The campaign with each tool at one place: where the campaign says it is, else where its order of work has it."""
    found = ways(campaign)
    if not found:
        return campaign
    told = _told(campaign)
    return at_places(
        campaign, max(found, key=lambda way: sum(way[tool] == at for tool, at in told.items() if tool in way))
    )


def first_in_the_way(campaign: Campaign) -> Campaign:
    """The campaign with tools standing in the first way that their presses name, whether or not that goes together."""
    found = groups(campaign)
    first = [group.standings(apart=True)[:1] for group in found]
    return at_places(campaign, {tool: at for some in first for way in some for tool, at in way.items()})


def _told(campaign: Campaign) -> Standing:
    planning = campaign.planning
    if planning.made_at:
        return {one.tool: one.place or "" for one in planning.made_at}
    if planning.begin_from is None:
        return {}
    return {
        run.tool: campaign.presses[press].place or ""
        for press, runs in planning.begin_from.presses.items()
        if press in campaign.presses
        for run in runs
    }


def _ways(campaign: Campaign, found: list[Group]) -> Iterator[Standing]:
    if not found:
        return
    apart = number_of_ways(found, apart=True) <= MOST_WAYS
    for each in product(*(group.standings(apart) for group in found)):
        way = {tool: at for one in each for tool, at in one.items()}
        if _goes_together(at_places(campaign, way)):
            yield way


def _goes_together(campaign: Campaign) -> bool:
    """Whether nothing is taken, or dried, at two places."""
    return (
        all(len(taken_at(campaign, part)) < 2 for part in campaign.parts)
        and all(len(taken_piece_at(campaign, piece)) < 2 for piece in campaign.pieces)
        and not dried_elsewhere(campaign)
    )


def dried_elsewhere(campaign: Campaign) -> list[tuple[str, list[str]]]:
    """(resin, where it is moulded) of those that are dried at another place and here too, or in a dryer that is looked
    after, which stands on our own floor."""
    at: dict[str, set[str]] = {}
    for tool in campaign.tools.values():
        for part in tool.cavities:
            for barrel in campaign.parts[part].barrels if part in campaign.parts else []:
                at.setdefault(barrel.resin, set()).update(places_of(campaign, tool.presses))
    dried = [name for name in sorted(at) if name in campaign.resins and campaign.resins[name].drying_hours > 0]
    after = dryers_to_plan(campaign, dried)
    return [
        (resin, sorted(at[resin]))
        for resin in dried
        if at[resin] - {""} and (len(at[resin]) > 1 or (campaign.resins[resin].dryer or resin) in after)
    ]


def _hanging_together(campaign: Campaign) -> list[tuple[str, ...]]:
    """Tools by parts that several make, and by bases; each group sorted, and all."""
    group = {tool: {tool} for tool in campaign.tools}
    together = list(makers(campaign).values())
    bases: dict[str, list[str]] = {}
    for name, tool in campaign.tools.items():
        if tool.base is not None:
            bases.setdefault(tool.base, []).append(name)
    for tools in (*together, *bases.values()):
        joined = set().union(*(group[tool] for tool in tools))
        for one in joined:
            group[one] = joined
    return sorted({tuple(sorted(tools)) for tools in group.values()})


def _said(campaign: Campaign, tools: tuple[str, ...]) -> Standing | None:
    """Where the campaign says that each of a group's tools works; None where it does not say it of all."""
    said = {one.tool: one.place or "" for one in campaign.planning.made_at}
    return {tool: said[tool] for tool in tools} if said.keys() >= set(tools) else None


def _lies_unfinished(campaign: Campaign, tools: tuple[str, ...]) -> bool:
    """Whether some of what a group makes is in stock at the place away from the one that takes it."""
    parts = {part for tool in tools for part in campaign.tools[tool].cavities} & campaign.parts.keys()
    return any(not stock.finished for part in parts for stock in campaign.parts[part].stock)


def _apart(campaign: Campaign, tools: tuple[str, ...], named: list[str]) -> list[Standing]:
    """The ways in which tools make their parts at two places at once, one of which takes each of these parts: tools of
    one base stay together, and no part is worked on at firms, moulded over others, or goes into a mould."""
    parts = sorted({part for tool in tools for part in campaign.tools[tool].cavities})
    if len(tools) < 2 or any(
        part not in campaign.parts or _keeps_together(campaign, part) is not None for part in parts
    ):
        return []
    takes = {at for part in parts for at in taken_at(campaign, part)}
    units: dict[str, list[str]] = {}
    for tool in tools:
        units.setdefault(campaign.tools[tool].base or f"tool {tool}", []).append(tool)
    may = [
        [at for at in named if all(_can_be(campaign, tool, at) for tool in unit)]
        or ([] if any(_can_run(campaign, tool, at) for tool in unit for at in named) else named[:1])
        for unit in units.values()
    ]
    found = []
    for each in islice(product(*may), MOST_WAYS * MOST_WAYS):
        way = {tool: at for unit, at in zip(units.values(), each, strict=True) for tool in unit}
        if len(set(way.values())) == 2 and len(takes) == 1 and takes < set(way.values()):
            found.append(way)
    return found


def _keeps_together(campaign: Campaign, part: str) -> Why | None:
    """Why all that make a part are at one place; None: they may be at two."""
    made = campaign.parts[part]
    into = any(
        one.part == part
        for other in campaign.parts.values()
        if other.moulded_over is not None
        for one in other.moulded_over.parts
    )
    if any(step.at in campaign.finishing_firms for step in made.finishing):
        return "firm"
    if made.moulded_over is not None:
        return "over"
    return "into" if into else None


def _can_be(campaign: Campaign, tool: str, place: str) -> bool:
    """Whether a tool can run at a place, and is not held elsewhere."""
    return _can_run(campaign, tool, place) and not _held_elsewhere(campaign, (tool,), place)


def _may_be(campaign: Campaign, tools: tuple[str, ...], place: str) -> bool:
    """Whether a group can make all its parts at a place, and none of it is held elsewhere."""
    if _held_elsewhere(campaign, tools, place):
        return False
    able = {part for tool in tools if _can_run(campaign, tool, place) for part in campaign.tools[tool].cavities}
    return able >= {part for tool in tools for part in campaign.tools[tool].cavities}


def _held_elsewhere(campaign: Campaign, tools: tuple[str, ...], place: str) -> bool:
    """Whether any of the tools is in a press, begins, or is tried at another place."""
    for name, press in campaign.presses.items():
        held = {press.tool, *(run.tool for run in press.begins_with)} & set(tools)
        if held and places_of(campaign, [name]) != [place]:
            return True
    unsure = campaign.uncertainty.tools if campaign.uncertainty is not None else {}
    trials = (unsure[tool].first_trial for tool in tools if tool in unsure)
    on = {trial.press for trial in trials if trial is not None and trial.press is not None}
    return bool(on) and places_of(campaign, on) != [place]


def _can_run(campaign: Campaign, tool: str, place: str) -> bool:
    return any(
        places_of(campaign, [press]) == [place]
        and campaign.presses[press].has_hours
        and enough_operators(campaign, tool, press)
        for press in fitting(campaign, tool)
    )

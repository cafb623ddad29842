"""Entries that cannot be of this campaign: unknown ids, more packed than ordered, moments out of order."""

from collections import Counter
from collections.abc import Iterator

from planner.actuals.entries import (
    Actuals,
    Assembled,
    Delivered,
    Ordered,
    Packed,
    Purged,
    ShotsMade,
    Stopped,
    ToolNews,
)
from planner.campaign import Campaign
from planner.campaign.pointers import pointer
from planner.demand.items import ordered_items
from planner.errors import Problem

SECTION = {"piece": "pieces", "resin": "resins", "colour": "colours"}


def check(campaign: Campaign, actuals: Actuals) -> list[Problem]:
    """Every entry that does not fit the campaign, with a pointer to its field."""
    if actuals.as_of < campaign.start:
        remedy = "give a moment at or after the campaign's start"
        return [Problem("/as_of", "the floor cannot stand before the campaign starts", remedy)]
    problems = []
    packed: Counter[int] = Counter()
    items = set(ordered_items(campaign))
    for n, entry in enumerate(actuals.entries):
        if entry.at > actuals.as_of:
            where = pointer("entries", n, "at")
            problems.append(Problem(where, "it lies after `as_of`", "leave it out, or plan again from a later moment"))
        for field, name, section in _ids(entry):
            if name not in getattr(campaign, section):
                where = pointer("entries", n, field)
                problems.append(Problem(where, f"`{name}` is not among the campaign's {section}", "check its spelling"))
        if isinstance(entry, ShotsMade) and entry.tool in campaign.tools:
            problems += _shots(campaign, n, entry, items)
        if isinstance(entry, Assembled) and entry.colourway is not None and entry.product in campaign.products:
            known = campaign.products[entry.product].colourways
            if entry.colourway not in known:
                where = pointer("entries", n, "colourway")
                told = f"`{entry.product}` does not come in `{entry.colourway}`"
                problems.append(Problem(where, told, f"use one of {', '.join(sorted(known)[:12])}"))
        if isinstance(entry, Packed):
            if entry.line >= len(campaign.orders):
                where = pointer("entries", n, "line")
                problems.append(Problem(where, f"there are {len(campaign.orders)} order lines, from 0", "check it"))
            else:
                packed[entry.line] += entry.parcels
                if packed[entry.line] > campaign.orders[entry.line].count:
                    ordered = campaign.orders[entry.line].count
                    message = f"{packed[entry.line]} parcels of line {entry.line} packed, {ordered} ordered"
                    problems.append(Problem(pointer("entries", n, "parcels"), message, "check the counts"))
    return problems


def _ids(entry: object) -> Iterator[tuple[str, str, str]]:
    """(field, id, section of the campaign) of everything an entry names."""
    if isinstance(entry, ShotsMade | Purged | Stopped):
        yield "press", entry.press, "presses"
    if isinstance(entry, ShotsMade | ToolNews):
        yield "tool", entry.tool, "tools"
    if isinstance(entry, Delivered | Ordered):
        yield "id", entry.id, SECTION[entry.of]
    if isinstance(entry, Assembled):
        yield "product", entry.product, "products"
    if isinstance(entry, Purged):
        for field, melt in (("from", entry.from_), ("to", entry.to)):
            resin, _, colour = melt.partition("/")
            yield field, resin, "resins"
            yield field, colour, "colours"


def _shots(campaign: Campaign, n: int, entry: ShotsMade, items: set[tuple[str, tuple[str, ...]]]) -> Iterator[Problem]:
    tool = campaign.tools[entry.tool]
    for part, good in entry.good.items():
        where = pointer("entries", n, "good", part)
        if part not in tool.cavities:
            yield Problem(where, f"tool `{entry.tool}` makes no `{part}`", "check the part")
        elif good > entry.shots * tool.cavities[part]:
            most = entry.shots * tool.cavities[part]
            yield Problem(where, f"{good} good parts of {most} moulded", "check the counts")
    barrels = max(len(campaign.parts[part].barrels) for part in tool.cavities)
    if len(entry.colours) != barrels:
        where = pointer("entries", n, "colours")
        yield Problem(where, f"tool `{entry.tool}` takes {barrels} colours, one per barrel", "give as many")
    elif entry.press in campaign.presses and len(campaign.presses[entry.press].barrels) < barrels:
        yield Problem(pointer("entries", n, "press"), f"`{entry.press}` has too few barrels for it", "check the press")
    elif not any((part, tuple(entry.colours)) in items for part in tool.cavities):
        message = f"nobody ordered anything of tool `{entry.tool}` in {'/'.join(entry.colours)}"
        yield Problem(pointer("entries", n, "colours"), message, "check the colours")

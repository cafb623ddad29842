"""Entries that cannot be of this campaign: unknown ids, more packed than ordered, moments out of order."""

from collections import Counter
from collections.abc import Iterator

from planner.actuals.entries import (
    Actuals,
    Assembled,
    CameBack,
    Delivered,
    LotResult,
    Ordered,
    Packed,
    PartsFinished,
    Purged,
    ShotsMade,
    StepDone,
    Stopped,
    SubAssembled,
    ToolNews,
    TurnedOut,
)
from planner.campaign import Campaign
from planner.campaign.orders import OrderLine
from planner.campaign.pointers import pointer
from planner.campaign.whereabouts import not_here
from planner.demand.items import ordered_items, units_of
from planner.errors import Problem
from planner.settled import things

COMPOUND = "purging compound"
SECTION = {"piece": "pieces", "resin": "resins", "colour": "colours", "compound": COMPOUND}


def check(campaign: Campaign, actuals: Actuals) -> list[Problem]:
    """Every entry that does not fit the campaign, with a pointer to its field."""
    if actuals.as_of < campaign.start:
        remedy = "give a moment at or after the campaign's start"
        return [Problem("/as_of", "the floor cannot stand before the campaign starts", remedy)]
    problems = []
    packed: Counter[tuple[int, int | None]] = Counter()
    refunded: Counter[tuple[int, int | None]] = Counter()
    items = set(ordered_items(campaign))
    for n, entry in enumerate(actuals.entries):
        if entry.at > actuals.as_of:
            where = pointer("entries", n, "at")
            problems.append(Problem(where, "it lies after `as_of`", "leave it out, or plan again from a later moment"))
        for field, name, section in _ids(entry):
            if name not in (_compound(campaign) if section == COMPOUND else getattr(campaign, section)):
                where = pointer("entries", n, field)
                problems.append(Problem(where, f"`{name}` is not among the campaign's {section}", "check its spelling"))
        if isinstance(entry, ShotsMade) and entry.tool in campaign.tools:
            problems += _shots(campaign, n, entry, items)
        if isinstance(entry, SubAssembled) and entry.product in campaign.products:
            subs = campaign.products[entry.product].sub_assemblies
            if entry.sub_assembly not in subs:
                told = f"nothing called `{entry.sub_assembly}` is put together for `{entry.product}`"
                remedy = f"use one of {', '.join(subs)}" if subs else "log the units once they are assembled"
                problems.append(Problem(pointer("entries", n, "sub_assembly"), told, remedy))
        if isinstance(entry, Assembled | SubAssembled) and entry.product in campaign.products:
            known = campaign.products[entry.product].colourways
            if entry.colourway is not None and entry.colourway not in known:
                where = pointer("entries", n, "colourway")
                told = f"`{entry.product}` does not come in `{entry.colourway}`"
                problems.append(Problem(where, told, f"use one of {', '.join(sorted(known)[:12])}"))
        if isinstance(entry, LotResult) and (entry.part, tuple(entry.colours)) not in items:
            told = f"nobody ordered `{entry.part}` in {'/'.join(entry.colours)}"
            problems.append(Problem(pointer("entries", n, "colours"), told, "check the colours"))
        if isinstance(entry, PartsFinished) and entry.part in campaign.parts:
            problems += _finished(campaign, n, entry, items)
        if isinstance(entry, StepDone) and entry.tool in campaign.tools:
            steps = campaign.tools[entry.tool].until_ready
            if entry.step not in steps:
                told = f"tool `{entry.tool}` has no step `{entry.step}` left"
                remedy = f"use one of {', '.join(steps)}" if steps else "log that the tool is ready instead"
                problems.append(Problem(pointer("entries", n, "step"), told, remedy))
        if isinstance(entry, TurnedOut):
            problems += _turned(campaign, n, entry)
        if isinstance(entry, Purged) and entry.compound_kg > entry.kg:
            message = f"{entry.compound_kg:g} kg of compound in {entry.kg:g} kg shot to waste"
            problems.append(Problem(pointer("entries", n, "compound_kg"), message, "`kg` counts the compound too"))
        if isinstance(entry, Packed):
            if entry.line >= len(campaign.orders):
                where = pointer("entries", n, "line")
                problems.append(Problem(where, f"there are {len(campaign.orders)} order lines, from 0", "check it"))
            else:
                problems += _packed(campaign, n, entry, packed)
        if isinstance(entry, CameBack) and entry.line is not None:
            there = packed[entry.line, entry.part] - refunded[entry.line, entry.part]
            if there < entry.parcels:
                told = f"{entry.parcels} parcels come back, {there} packed by this log before"
                remedy = "log what was packed first; for an order that left before this plan give `order`"
                problems.append(Problem(pointer("entries", n, "parcels"), told, remedy))
            else:
                packed[entry.line, entry.part] -= entry.parcels if entry.again else 0
                refunded[entry.line, entry.part] += 0 if entry.again else entry.parcels
        if isinstance(entry, CameBack) and entry.order is not None:
            problems += _order_again(campaign, n, entry.order)
    return problems


def _turned(campaign: Campaign, n: int, entry: TurnedOut) -> Iterator[Problem]:
    """Something that is settled on a day, and a way in which it may turn out."""
    known = {thing.id: thing for thing in things(campaign)}
    if entry.thing not in known:
        told = f"nothing of this campaign is settled on a day that is called `{entry.thing}`"
        remedy = f"use one of {', '.join(known)}" if known else "log what it means instead, e.g. that a tool is ready"
        yield Problem(pointer("entries", n, "thing"), told, remedy)
    elif entry.outcome not in (ways := [turn.id for turn in known[entry.thing].turns]):
        told = f"{known[entry.thing].about} cannot turn out `{entry.outcome}`"
        yield Problem(pointer("entries", n, "outcome"), told, f"use one of {', '.join(ways)}")


def _packed(campaign: Campaign, n: int, entry: Packed, packed: Counter[tuple[int, int | None]]) -> Iterator[Problem]:
    """At most as many parcels as are ordered, of each part and of whole orders together; parts that there are."""
    line = campaign.orders[entry.line]
    packed[entry.line, entry.part] += entry.parcels
    most = parcels_at_most(campaign, line)
    if entry.part is not None and not (line.gone.parcels if line.gone else 0) < entry.part <= most:
        message = f"orders of line {entry.line} have no part {entry.part} to go"
        yield Problem(pointer("entries", n, "part"), message, "take the part from the pack list, or leave it out")
    whole = packed[entry.line, None]
    done = max([whole, *(whole + packed[entry.line, part] for part in range(1, most + 1))])
    if done > line.count:
        message = f"{done} parcels of line {entry.line} packed, {line.count} ordered"
        yield Problem(pointer("entries", n, "parcels"), message, "check the counts")


def _order_again(campaign: Campaign, n: int, order: OrderLine) -> Iterator[Problem]:
    """An order that left before the plan, held against what the campaign knows."""
    where = pointer("entries", n, "order")
    tier = campaign.tiers.get(order.tier)
    if tier is None:
        yield Problem(where + "/tier", f"there is no tier `{order.tier}`", "check its spelling")
        return
    if {product: len(ways) for product, ways in order.units.items()} != tier.units:
        yield Problem(where + "/units", f"tier `{order.tier}` holds {tier.units}", "give a colourway for each unit")
    for product, ways in [*order.units.items(), *order.extra_units.items()]:
        known = campaign.products[product].colourways if product in campaign.products else {}
        for way in ways:
            if way not in known:
                yield Problem(where, f"there is no `{product}` in `{way}`", "check product and colourway")
    for piece in order.extra_pieces:
        if piece not in campaign.pieces:
            yield Problem(where + "/extra_pieces", f"there is no piece `{piece}`", "check its spelling")


def parcels_at_most(campaign: Campaign, line: OrderLine) -> int:
    """Parcels in which each order of a line may go out, those gone included."""
    split = campaign.tiers[line.tier].split
    gone = line.gone.parcels if line.gone else 0
    if split is None or split.ship == "whole":
        return gone + 1
    return gone + min(max(1, split.parcels - gone), len(units_of(line)))


def _compound(campaign: Campaign) -> set[str]:
    compound = campaign.purging.compound
    return set() if compound is None else {compound.name}


def _ids(entry: object) -> Iterator[tuple[str, str, str]]:
    """(field, id, section of the campaign) of everything an entry names."""
    if isinstance(entry, ShotsMade | Purged | Stopped):
        yield "press", entry.press, "presses"
    if isinstance(entry, ShotsMade | ToolNews | StepDone):
        yield "tool", entry.tool, "tools"
    if isinstance(entry, Delivered | Ordered):
        yield "id", entry.id, SECTION[entry.of]
    if isinstance(entry, LotResult | PartsFinished):
        yield "part", entry.part, "parts"
    if isinstance(entry, Assembled | SubAssembled):
        yield "product", entry.product, "products"
    if isinstance(entry, Purged):
        for field, melt in (("from", entry.from_), ("to", entry.to)):
            if melt is None:
                continue
            resin, _, colour = melt.rpartition("/")
            yield field, resin, "resins"
            yield field, colour, "colours"


def _finished(
    campaign: Campaign, n: int, entry: PartsFinished, items: set[tuple[str, tuple[str, ...]]]
) -> Iterator[Problem]:
    """Work that the part asks for, on a part that somebody ordered; what is painted is told as the units it is in."""
    steps = campaign.parts[entry.part].finishing
    if not not_here(campaign, entry.part):
        told = f"nothing is done to `{entry.part}` between press and assembly"
        yield Problem(pointer("entries", n, "part"), told, "check the part, or leave the entry out")
    elif any(step.gives_colour for step in steps):
        told = f"`{entry.part}` gets its colour from that work, and parts in hand do not say which"
        remedy = "log the units once they are assembled; until then what is moulded is planned as unfinished"
        yield Problem(pointer("entries", n, "part"), told, remedy)
    elif (entry.part, tuple(entry.colours)) not in items:
        told = f"nobody ordered `{entry.part}` in {'/'.join(entry.colours)}"
        yield Problem(pointer("entries", n, "colours"), told, "give the colours as moulded")


def _shots(campaign: Campaign, n: int, entry: ShotsMade, items: set[tuple[str, tuple[str, ...]]]) -> Iterator[Problem]:
    tool = campaign.tools[entry.tool]
    for part, good in entry.good.items():
        where = pointer("entries", n, "good", part)
        if part not in tool.cavities:
            yield Problem(where, f"tool `{entry.tool}` makes no `{part}`", "check the part")
        elif good > entry.shots * tool.cavities[part]:
            most = entry.shots * tool.cavities[part]
            yield Problem(where, f"{good} good parts of {most} moulded", "check the counts")
    scrapped, made = sum(entry.scrap_by.values()), entry.shots * sum(tool.cavities.values())
    if scrapped > max(0, made - sum(entry.good.values())):
        told = f"{scrapped} parts scrapped, {made - sum(entry.good.values())} of {made} not good"
        yield Problem(pointer("entries", n, "scrap_by"), told, "check the counts")
    barrels = max(len(campaign.parts[part].barrels) for part in tool.cavities)
    if len(entry.colours) != barrels:
        where = pointer("entries", n, "colours")
        yield Problem(where, f"tool `{entry.tool}` takes {barrels} colours, one per barrel", "give as many")
    elif entry.press in campaign.presses and len(campaign.presses[entry.press].barrels) < barrels:
        yield Problem(pointer("entries", n, "press"), f"`{entry.press}` has too few barrels for it", "check the press")
    elif not any((part, tuple(entry.colours)) in items for part in tool.cavities):
        message = f"nobody ordered anything of tool `{entry.tool}` in {'/'.join(entry.colours)}"
        yield Problem(pointer("entries", n, "colours"), message, "check the colours")

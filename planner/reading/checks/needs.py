"""What the sound part of a campaign asks for: units, runs, pieces. Figures as low as the plan's or lower."""

from collections import Counter
from dataclasses import dataclass, replace
from math import floor

from planner.campaign.document import Campaign
from planner.campaign.fit import resins_of
from planner.campaign.orders import OrderLine
from planner.demand.at_the_shot import pieces_in_a_shot
from planner.demand.cartons import Number, of_products
from planner.demand.items import Item, good_parts, open_cavities, ordered_items, pieces_of, units_of
from planner.demand.parts import CouldBeReady, alike, order_parts
from planner.demand.shared_parts import able_makers

RunKey = tuple[str, tuple[str, ...]]
"""A tool and its colours."""

Contents = tuple[str, tuple[Number, ...], tuple[Number, ...]]
"""Tier, units per product, pieces beside them: what a carton must take."""


@dataclass(frozen=True)
class Needs:
    """What is asked for at the very least.

    units: (product, colourway) -> units. runs: (tool, colours) -> shots, of parts that one tool makes. melts: (tool,
    colours) -> `resin/colour` per barrel, of parts that several tools may make too. asked: parts of which some are to
    be moulded. makers: part -> the tools that can make it. moulded: tool -> most parts of one item it moulds.
    pieces: piece -> number. parcels: tier -> parcels.
    contents: (tier, units per product, pieces beside them) -> parcels.
    whole: no order line had to be left out.
    """

    units: Counter[tuple[str, str]]
    runs: dict[RunKey, float]
    melts: dict[RunKey, tuple[str, ...]]
    asked: frozenset[str]
    makers: dict[str, list[str]]
    moulded: dict[str, int]
    pieces: Counter[str]
    parcels: Counter[str]
    contents: Counter[Contents]
    whole: bool

    def wants(self, tool: str, part: str) -> bool:
        """Whether a part of which some may be to be moulded is that tool's to make: no other could do it instead."""
        return (part in self.asked or not self.whole) and tool in self.makers.get(part, [])

    def with_pieces(self, more: Counter[str]) -> "Needs":
        """The same, with more bought-in pieces."""
        return replace(self, pieces=self.pieces + more)


def needs_of(campaign: Campaign, lines: list[OrderLine], whole: bool) -> Needs:
    """Explode the order lines given; products with unfinished colourways and parts without one tool are left out.

    lines: gathered. whole: they are all the campaign has.
    """
    asked_units = [units_of(line) for line in lines]
    distinct = {unit for some in asked_units for unit in some}
    unfinished = {unit for unit in distinct if not _whole(campaign, *unit)}
    usable, of_each = [], []
    for line, some in zip(lines, asked_units, strict=True):
        if unfinished.isdisjoint(some):
            usable.append(line)
            of_each.append(some)
    units: Counter[tuple[str, str]] = Counter()
    pieces: Counter[str] = Counter()
    parcels: Counter[str] = Counter()
    contents: Counter[Contents] = Counter()
    ordered = ordered_items(campaign.model_copy(update={"orders": usable}))
    ready = CouldBeReady(campaign, ordered)
    for line, some in zip(usable, of_each, strict=True):
        for piece, n in pieces_of(campaign, line).items():
            pieces[piece] += n * line.count
        for unit, n in some.items():
            units[unit] += n * line.count
        for part in order_parts(campaign, ready, alike(campaign, line)):
            parcels[line.tier] += line.count
            contents[line.tier, of_products(part.units), part.pieces] += line.count
    for (product, _), count in units.items():
        for piece, n in campaign.products[product].pieces.items():
            pieces[piece] += n * count
    makes = able_makers(campaign)
    runs, melts, moulded = _runs(campaign, ordered, makes)
    asked = frozenset(
        part for (part, colours), number in ordered.items() if good_parts(campaign, part, colours, number)[-1] > 0
    )
    for (tool, _), shots in runs.items():
        for piece, n in pieces_in_a_shot(campaign, tool).items():
            pieces[piece] += n * floor(shots)
    for item, number in ordered.items():  # good parts are moulded ones at the most, whoever makes how many
        over = campaign.parts[item[0]].moulded_over if len(makes.get(item[0], [])) > 1 else None
        for piece, n in over.pieces.items() if over else ():
            pieces[piece] += n * good_parts(campaign, *item, number)[-1]
    all_there = whole and len(usable) == len(lines)
    return Needs(units, runs, melts, asked, makes, moulded, pieces, parcels, contents, all_there)


def _whole(campaign: Campaign, product: str, colourway: str) -> bool:
    """Whether a colourway says the colours of every part, one per barrel."""
    made = campaign.products[product]
    colours_of = made.colourways[colourway]
    return all(
        part in campaign.parts and len(colours_of.get(part, [])) == len(campaign.parts[part].barrels)
        for part in made.parts
    )


def _runs(
    campaign: Campaign, ordered: Counter[Item], makers: dict[str, list[str]]
) -> tuple[dict[RunKey, float], dict[RunKey, tuple[str, ...]], dict[str, int]]:
    """(shots, melts, most parts moulded), as in Needs."""
    runs: dict[RunKey, float] = {}
    melts: dict[RunKey, tuple[str, ...]] = {}
    most: dict[str, int] = {}
    for (part, colours), number in sorted(ordered.items()):
        *_, needed = good_parts(campaign, part, colours, number)
        for tool in makers.get(part, []) if needed else []:
            resins = resins_of(campaign, campaign.tools[tool]) or []
            cavities = open_cavities(campaign, tool, part)
            if cavities < 1 or len(resins) != len(colours):
                continue
            key = (tool, colours)
            melts[key] = tuple(f"{r}/{c}" for r, c in zip(resins, colours, strict=True))
            if len(makers[part]) > 1:
                continue
            # Expected start quantity Q / (1 - q) (Groover), less one part: what half the runs would do with.
            moulded = max(needed, floor(needed / (1 - campaign.tools[tool].scrap_share)) - 1)
            most[tool] = max(most.get(tool, 0), moulded)
            runs[key] = max(runs.get(key, 0.0), moulded / cavities)
    return runs, melts, most

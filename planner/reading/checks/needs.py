"""What the sound part of a campaign asks for: units, runs, pieces. Figures as low as the plan's or lower."""

from collections import Counter
from dataclasses import dataclass, replace
from math import floor

from planner.campaign.document import Campaign
from planner.campaign.fit import resins_of
from planner.campaign.orders import OrderLine
from planner.campaign.tools import Tool
from planner.demand.at_the_shot import pieces_in_a_shot
from planner.demand.cartons import Number, of_products
from planner.demand.items import Item, good_parts, open_cavities, ordered_items, pieces_of, units_of
from planner.demand.parts import CouldBeReady, alike, order_parts

RunKey = tuple[str, tuple[str, ...]]
"""A tool and its colours."""

Contents = tuple[str, tuple[Number, ...], tuple[Number, ...]]
"""Tier, units per product, pieces beside them: what a carton must take."""


@dataclass(frozen=True)
class Needs:
    """What is asked for at the very least.

    units: (product, colourway) -> units. runs: (tool, colours) -> shots. melts: (tool, colours) -> `resin/colour` per
    barrel. asked: parts of which some are to be moulded. moulded: tool -> most parts of one item it moulds.
    pieces: piece -> number. parcels: tier -> parcels.
    contents: (tier, units per product, pieces beside them) -> parcels.
    whole: no order line had to be left out.
    """

    units: Counter[tuple[str, str]]
    runs: dict[RunKey, float]
    melts: dict[RunKey, tuple[str, ...]]
    asked: frozenset[str]
    moulded: dict[str, int]
    pieces: Counter[str]
    parcels: Counter[str]
    contents: Counter[Contents]
    whole: bool

    def makes(self, tool: Tool) -> bool:
        """Whether a tool makes anything that is asked for."""
        return not self.asked.isdisjoint(tool.cavities)

    def with_pieces(self, more: Counter[str]) -> "Needs":
        """The same, with more bought-in pieces."""
        return replace(self, pieces=self.pieces + more)


def needs_of(campaign: Campaign, lines: list[OrderLine], whole: bool) -> Needs:
    """Explode the order lines given; products with unfinished colourways and parts without one tool are left out.

    lines: gathered. whole: they are all the campaign has.
    """
    finished = {product for product in campaign.products if _whole(campaign, product)}
    usable = [line for line in lines if finished.issuperset(line.units) and finished.issuperset(line.extra_units)]
    units: Counter[tuple[str, str]] = Counter()
    pieces: Counter[str] = Counter()
    parcels: Counter[str] = Counter()
    contents: Counter[Contents] = Counter()
    ordered = ordered_items(campaign.model_copy(update={"orders": usable}))
    ready = CouldBeReady(campaign, ordered)
    for line in usable:
        for piece, n in pieces_of(campaign, line).items():
            pieces[piece] += n * line.count
        for unit, n in units_of(line).items():
            units[unit] += n * line.count
        for part in order_parts(campaign, ready, alike(campaign, line)):
            parcels[line.tier] += line.count
            contents[line.tier, of_products(part.units), part.pieces] += line.count
    for (product, _), count in units.items():
        for piece, n in campaign.products[product].pieces.items():
            pieces[piece] += n * count
    runs, melts, moulded = _runs(campaign, ordered)
    asked = frozenset(
        part for (part, colours), number in ordered.items() if good_parts(campaign, part, colours, number)[-1] > 0
    )
    for (tool, _), shots in runs.items():
        for piece, n in pieces_in_a_shot(campaign, tool).items():
            pieces[piece] += n * floor(shots)
    return Needs(units, runs, melts, asked, moulded, pieces, parcels, contents, whole and len(usable) == len(lines))


def _whole(campaign: Campaign, product: str) -> bool:
    """Whether every colourway says the colours of every part, one per barrel."""
    made = campaign.products[product]
    return all(
        part in campaign.parts and len(colours_of.get(part, [])) == len(campaign.parts[part].barrels)
        for colours_of in made.colourways.values()
        for part in made.parts
    )


def _runs(
    campaign: Campaign, ordered: Counter[Item]
) -> tuple[dict[RunKey, float], dict[RunKey, tuple[str, ...]], dict[str, int]]:
    """(shots, melts, most parts moulded), as in Needs."""
    makers: dict[str, list[str]] = {}
    for tool in sorted(campaign.tools):
        for part in campaign.tools[tool].cavities:
            makers.setdefault(part, []).append(tool)
    runs: dict[RunKey, float] = {}
    melts: dict[RunKey, tuple[str, ...]] = {}
    most: dict[str, int] = {}
    for (part, colours), number in sorted(ordered.items()):
        *_, needed = good_parts(campaign, part, colours, number)
        if needed == 0 or len(makers.get(part, [])) != 1:
            continue
        tool = makers[part][0]
        resins = resins_of(campaign, campaign.tools[tool]) or []
        cavities = open_cavities(campaign, tool, part)
        if cavities < 1 or len(resins) != len(colours):
            continue
        # Expected start quantity Q / (1 - q) (Groover), less one part: what half the runs would do with.
        moulded = max(needed, floor(needed / (1 - campaign.tools[tool].scrap_share)) - 1)
        most[tool] = max(most.get(tool, 0), moulded)
        key = (tool, colours)
        runs[key] = max(runs.get(key, 0.0), moulded / cavities)
        melts[key] = tuple(f"{r}/{c}" for r, c in zip(resins, colours, strict=True))
    return runs, melts, most

"""Good parts needed of each moulded item, and the run demands that make them."""

from collections import Counter
from dataclasses import dataclass
from math import ceil, floor

from planner.campaign import Campaign
from planner.campaign.finishing import scrap_from
from planner.campaign.orders import OrderLine, gathered
from planner.demand.scrap import shots_of, spoilt

Item = tuple[str, tuple[str, ...]]
"""A part and its colours, one per barrel."""


@dataclass(frozen=True)
class ItemDemand:
    """What is needed of one moulded item; RULES.md, D2 to D5."""

    part: str
    colours: tuple[str, ...]
    ordered: int
    spares: int
    stock: int
    to_mould: int
    cavities: int
    counting_shots: int
    """N_i: shots this item alone asks for; 0 when nothing is to be moulded."""
    tests: int = 0
    """Good parts that tests use up, moulded on top of to_mould."""

    @property
    def item(self) -> Item:
        return self.part, self.colours


@dataclass(frozen=True)
class RunDemand:
    """All items one tool makes in one set of colours: N shots."""

    tool: str
    colours: tuple[str, ...]
    melts: tuple[str, ...]
    shots: int
    items: tuple[ItemDemand, ...]


def units_of(line: OrderLine) -> Counter[tuple[str, str]]:
    """Units still to go in one order of a line: (product, colourway) -> number, add-ons included."""
    units = _units(line.units) + _units(line.extra_units)
    return units - _units(line.gone.units) if line.gone else units


def ordered_units(line: OrderLine) -> int:
    """Units in one order of a line, those that left before included."""
    return sum(len(colourways) for source in (line.units, line.extra_units) for colourways in source.values())


def pieces_of(campaign: Campaign, line: OrderLine) -> Counter[str]:
    """Bought-in pieces still to be packed beside the units of one order, cartons left out."""
    pieces = Counter(campaign.tiers[line.tier].pieces) + Counter(line.extra_pieces)
    return pieces - Counter(line.gone.pieces) if line.gone else pieces


def _units(source: dict[str, list[str]]) -> Counter[tuple[str, str]]:
    return Counter((product, colourway) for product, colourways in source.items() for colourway in colourways)


def parts_of_unit(campaign: Campaign, product: str, colourway: str) -> Counter[Item]:
    """Moulded items in one unit."""
    parts: Counter[Item] = Counter()
    made = campaign.products[product]
    for part, number in made.parts.items():
        parts[part, tuple(made.colourways[colourway][part])] += number
    return parts


def ordered_items(campaign: Campaign) -> Counter[Item]:
    """Orders exploded through tiers and products: good parts of each item; 0 of items that are only spares."""
    units: Counter[tuple[str, str]] = Counter()
    for line in gathered(campaign.orders):
        for unit, number in units_of(line).items():
            units[unit] += number * line.count
    items: Counter[Item] = Counter()
    for (product, colourway), number in units.items():
        for item, per_unit in parts_of_unit(campaign, product, colourway).items():
            items[item] += per_unit * number
    for item in spare_parts(campaign):
        items[item] += 0
    return items


def spare_parts(campaign: Campaign) -> Counter[Item]:
    """Parts of the products' spare units; colourways that say no colours for a part have none of it."""
    parts: Counter[Item] = Counter()
    for made in campaign.products.values():
        for colourway, units in made.spare_units.items():
            colours_of = made.colourways.get(colourway, {})
            for part, number in made.parts.items():
                if units and part in colours_of:
                    parts[part, tuple(colours_of[part])] += number * units
    return parts


def tool_of_part(campaign: Campaign) -> dict[str, str]:
    """Which tool makes each part; each part has exactly one."""
    return {part: tool for tool in sorted(campaign.tools) for part in campaign.tools[tool].cavities}


def open_cavities(campaign: Campaign, tool: str, part: str) -> int:
    """Cavities of a part that are not blocked."""
    mould = campaign.tools[tool]
    return mould.cavities[part] - mould.blocked_cavities.get(part, 0)


def run_demands(campaign: Campaign) -> list[RunDemand]:
    """The run demands, sorted by tool and colours; items of a run sorted by part.

    A family tool's part that nobody ordered in a colour stands there with nothing to mould: its surplus must show.
    """
    ordered = ordered_items(campaign)
    makes = tool_of_part(campaign)
    wanted = sorted({(makes[part], colours) for part, colours in ordered})
    demands = []
    for tool, colours in wanted:
        mould = campaign.tools[tool]
        items = tuple(
            _item(campaign, tool, part, colours, ordered.get((part, colours), 0)) for part in sorted(mould.cavities)
        )
        shots = max(i.counting_shots for i in items)
        if shots == 0:
            continue
        resins = [b.resin for b in campaign.parts[items[0].part].barrels]
        melts = tuple(f"{r}/{c}" for r, c in zip(resins, colours, strict=True))
        demands.append(RunDemand(tool, colours, melts, shots, items))
    return demands


def good_parts(campaign: Campaign, part: str, colours: tuple[str, ...], ordered: int) -> tuple[int, int, int]:
    """Spares, stock, and the good parts still to be moulded of an item, from the number ordered."""
    made = campaign.parts[part]
    spares = ceil(round(ordered * made.spare_share, 9)) + spare_parts(campaign)[part, colours]
    stock = sum(in_hand(campaign, (part, colours)))
    return spares, stock, max(0, ordered + spares - stock)


def in_hand(campaign: Campaign, item: Item) -> tuple[int, int]:
    """Good parts of an item in stock: finished ones, and those of which so many will be good once they are."""
    part, colours = item
    made = campaign.parts[part]
    mine = [stock for stock in made.stock if tuple(stock.colours) == colours]
    moulded = sum(stock.count for stock in mine if not stock.finished)
    return sum(stock.count for stock in mine if stock.finished), floor(moulded * (1 - scrap_from(made.finishing)))


def covered_items(campaign: Campaign, runs: list[RunDemand]) -> list[ItemDemand]:
    """Ordered items that no run makes, because stock covers them; sorted."""
    made = {item.item for run in runs for item in run.items}
    ordered = ordered_items(campaign)
    makes = tool_of_part(campaign)
    return [_item(campaign, makes[item[0]], *item, ordered[item]) for item in sorted(set(ordered) - made)]


def _item(campaign: Campaign, tool: str, part: str, colours: tuple[str, ...], ordered: int) -> ItemDemand:
    spares, stock, to_mould = good_parts(campaign, part, colours, ordered)
    cavities = open_cavities(campaign, tool, part)
    tests = campaign.parts[part].test_pieces if to_mould else 0
    good = to_mould + tests
    shots = shots_of(campaign, tool, cavities, good, spoilt(campaign, part)) if good else 0
    return ItemDemand(part, colours, ordered, spares, stock, to_mould, cavities, shots, tests)

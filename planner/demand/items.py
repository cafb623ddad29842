"""Good parts needed of each moulded item, and the run demands that make them."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import ceil, floor

from planner.campaign import Campaign
from planner.campaign.finishing import scrap_from
from planner.campaign.orders import OrderLine, gathered
from planner.demand.at_the_shot import items_under, moulds_over, parts_in_a_shot, pieces_in_a_shot
from planner.demand.scrap import shots_of, spoilt
from planner.demand.shared_parts import Sharing, makers, moulded, shares, told, tools_together

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
    taken: int = 0
    """Parts that go into moulds, beside those ordered."""
    shared: bool = False
    """Whether other tools make it too: in a run demand to_mould, tests and counting_shots are then that tool's share;
    put together, cavities are none."""

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
    units = _units(line.units)
    if line.extra_units:
        units += _units(line.extra_units)
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
    for part, _ in list(items):
        for item in items_under(campaign, part):
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


def open_cavities(campaign: Campaign, tool: str, part: str) -> int:
    """Cavities of a part that are not blocked."""
    return campaign.tools[tool].open_cavities(part)


def run_demands(campaign: Campaign, taken: Counter[Item] | None = None) -> list[RunDemand]:
    """The run demands, sorted by tool and colours; items of a run sorted by part. taken: parts that go into moulds, by
    default those that the runs' own shots take.

    A family tool's part that nobody ordered in a colour stands there with nothing to mould: its surplus must show.
    """
    return _run_demands(campaign, ordered_items(campaign), taken_at_shots(campaign) if taken is None else taken)


def taken_at_shots(campaign: Campaign) -> Counter[Item]:
    """Parts that go into moulds: of every shot of all runs but start-up shots and purges (RULES.md, O)."""
    taken: Counter[Item] = Counter()
    if not moulds_over(campaign):
        return taken
    ordered = ordered_items(campaign)
    for _ in campaign.parts:  # what is moulded over first settles what goes into it, and so on
        found: Counter[Item] = Counter()
        for run in _run_demands(campaign, ordered, taken):
            for item, number in parts_in_a_shot(campaign, run.tool).items():
                found[item] += number * run.shots
        if found == taken:
            break
        taken = found
    return taken


def pieces_at_shots(campaign: Campaign, runs: Iterable[RunDemand]) -> Counter[str]:
    """Bought-in pieces that go into moulds."""
    found: Counter[str] = Counter()
    for run in runs:
        for piece, number in pieces_in_a_shot(campaign, run.tool).items():
            found[piece] += number * run.shots
    return found


def _run_demands(campaign: Campaign, ordered: Counter[Item], taken: Counter[Item]) -> list[RunDemand]:
    by_tool = _shots_by_tool(_sharings(campaign, ordered, taken))
    together = {tool for tools in tools_together(campaign) for tool in tools}
    made = makers(campaign)
    alone = {part: tools[0] for part, tools in made.items() if tools[0] not in together}
    wanted = {(alone[part], colours) for part, colours in ordered if part in alone}
    demands = []
    for tool, colours in sorted({*wanted, *(demand for demand, shots in by_tool.items() if shots)}):
        mould = campaign.tools[tool]
        parts = [part for part in sorted(mould.cavities) if mould.open_cavities(part)]
        items = tuple(_item(campaign, tool, (part, colours), ordered, taken) for part in parts)
        if tool in together:
            of_colour = {other: shots for (other, those), shots in by_tool.items() if those == colours}
            items = tuple(_share(campaign, tool, item, of_colour) for item in items)
            shots = by_tool[tool, colours]
        else:
            shots = max((i.counting_shots for i in items), default=0)
        if shots == 0:
            continue
        resins = [b.resin for b in campaign.parts[items[0].part].barrels]
        melts = tuple(f"{r}/{c}" for r, c in zip(resins, colours, strict=True))
        demands.append(RunDemand(tool, colours, melts, shots, items))
    return demands


def sharings(campaign: Campaign, taken: Counter[Item] | None = None) -> list[Sharing]:
    """Every group of tools that make parts together, in every set of colours of which anything is to be moulded. taken:
    parts that go into moulds, by default those that the runs' own shots take."""
    if not tools_together(campaign):
        return []
    return _sharings(campaign, ordered_items(campaign), taken_at_shots(campaign) if taken is None else taken)


def _sharings(campaign: Campaign, ordered: Counter[Item], taken: Counter[Item]) -> list[Sharing]:
    groups = tools_together(campaign)
    found = []
    for tools in groups:
        parts = sorted({part for tool in tools for part in campaign.tools[tool].cavities})
        for colours in sorted({colours for part, colours in ordered if part in parts}):
            needed = {part: _good(campaign, (part, colours), ordered, taken) for part in parts}
            needed = {part: number for part, number in needed.items() if number}
            if needed:
                found.append(Sharing(campaign, tools, colours, needed))
    return found


def shots_by_tool(campaign: Campaign) -> dict[tuple[str, tuple[str, ...]], int]:
    """(tool, colours) -> shots, of tools that make a part another makes too (RULES.md, D6): what the campaign says of
    it, topped up until every item has enough, and without a shot more."""
    return _shots_by_tool(sharings(campaign))


def _shots_by_tool(found: list[Sharing]) -> dict[tuple[str, tuple[str, ...]], int]:
    return {(tool, sharing.colours): shots for sharing in found for tool, shots in told(sharing).items()}


def put_together(items: Iterable[ItemDemand]) -> dict[Item, ItemDemand]:
    """Every item once: the shares that several tools make of it added up."""
    found: dict[Item, ItemDemand] = {}
    for item in items:
        known = found.get(item.item)
        if known is not None:
            item = replace(
                item,
                to_mould=known.to_mould + item.to_mould,
                tests=known.tests + item.tests,
                counting_shots=known.counting_shots + item.counting_shots,
            )
        found[item.item] = replace(item, cavities=0) if item.shared else item
    return found


def _good(campaign: Campaign, item: Item, ordered: Counter[Item], taken: Counter[Item]) -> int:
    """Good parts to be moulded, for tests too."""
    *_, to_mould = good_parts(campaign, *item, ordered.get(item, 0), taken.get(item, 0))
    return to_mould + campaign.parts[item[0]].test_pieces if to_mould else 0


def _share(campaign: Campaign, tool: str, item: ItemDemand, shots: dict[str, int]) -> ItemDemand:
    """What one of several tools makes of an item: as many of the parts counted on as it moulds of all of them."""
    made = moulded(campaign, item.part, shots)
    if len([n for n in made.values() if n]) == 0 or not made.get(tool):
        return item
    counted = shares(campaign, item.part, shots, item.to_mould)
    tests = shares(campaign, item.part, shots, item.tests)
    return replace(
        item, to_mould=counted[tool], tests=tests[tool], counting_shots=shots[tool] if counted[tool] else 0, shared=True
    )


def good_parts(
    campaign: Campaign, part: str, colours: tuple[str, ...], ordered: int, taken: int = 0
) -> tuple[int, int, int]:
    """Spares, stock, and the good parts still to be moulded of an item, from those ordered and taken at shots."""
    made = campaign.parts[part]
    spares = ceil(round(ordered * made.spare_share, 9)) + spare_parts(campaign)[part, colours]
    stock = sum(in_hand(campaign, (part, colours)))
    return spares, stock, max(0, ordered + spares + taken - stock)


def in_hand(campaign: Campaign, item: Item) -> tuple[int, int]:
    """Good parts of an item in stock: finished ones, and those of which so many will be good once they are."""
    part, colours = item
    made = campaign.parts[part]
    mine = [stock for stock in made.stock if tuple(stock.colours) == colours]
    moulded = sum(stock.count for stock in mine if not stock.finished)
    return sum(stock.count for stock in mine if stock.finished), floor(moulded * (1 - scrap_from(made.finishing)))


def covered_items(campaign: Campaign, runs: list[RunDemand], taken: Counter[Item] | None = None) -> list[ItemDemand]:
    """Ordered items that no run makes, because stock covers them; sorted. taken: as with `run_demands`."""
    made = {item.item for run in runs for item in run.items}
    ordered = ordered_items(campaign)
    by = makers(campaign)
    taken = taken_at_shots(campaign) if taken is None else taken
    found = [
        _item(campaign, next(iter(by.get(item[0], [])), None), item, ordered, taken)
        for item in sorted(set(ordered) - made)
    ]
    # what would go into moulds of which nothing is moulded is asked for by nobody
    return [item for item in found if item.ordered or item.spares or item.taken or item.stock]


def _item(campaign: Campaign, tool: str | None, item: Item, ordered: Counter[Item], taken: Counter[Item]) -> ItemDemand:
    """What is needed of an item. tool: None where none makes it, and stock covers it."""
    part, colours = item
    asked, gone = ordered.get(item, 0), taken.get(item, 0)
    spares, stock, to_mould = good_parts(campaign, part, colours, asked, gone)
    cavities = open_cavities(campaign, tool, part) if tool is not None else 0
    tests = campaign.parts[part].test_pieces if to_mould else 0
    good = to_mould + tests
    shots = shots_of(campaign, tool, cavities, good, spoilt(campaign, part)) if good and tool is not None else 0
    return ItemDemand(part, colours, asked, spares, stock, to_mould, cavities, shots, tests, taken=gone)

"""What the orders ask for: good parts of each moulded item, contents of each parcel."""

from collections import Counter
from dataclasses import dataclass
from fractions import Fraction

from planner.audit.figures import exact, whole_up
from planner.campaign import Campaign
from planner.campaign.orders import OrderLine

Item = tuple[str, tuple[str, ...]]
"""A part and its colours, one per barrel."""


@dataclass(frozen=True)
class Need:
    """Good parts of one item: what the orders take, spares on top, stock in hand, the rest to mould.

    test_pieces: used up by tests, if any of it is moulded. moulded: of the stock, parts whose finishing is to come, as
    many as will be good after it.
    """

    ordered: int
    spares: int
    stock: int
    test_pieces: int = 0
    moulded: int = 0
    taken: int = 0
    """Good parts that go into moulds."""

    @property
    def tests(self) -> int:
        """Good parts moulded for tests, on top of those to mould."""
        return self.test_pieces if self.to_mould else 0

    @property
    def to_mould(self) -> int:
        return max(0, self.ordered + self.spares + self.taken - self.stock)

    @property
    def missing_for_orders(self) -> int:
        """Parts that stock falls short of what is ordered and spare, moulds left out."""
        return max(0, self.ordered + self.spares - self.stock)


def units_of(line: OrderLine) -> Counter[tuple[str, str]]:
    """(product, colourway) -> units still to go to one order of the line, add-ons included."""
    units: Counter[tuple[str, str]] = Counter()
    for chosen in (line.units, line.extra_units):
        for product, colourways in chosen.items():
            for colourway in colourways:
                units[product, colourway] += 1
    for product, colourways in line.gone.units.items() if line.gone else ():
        for colourway in colourways:
            units[product, colourway] -= 1
    return +units


def pieces_of(campaign: Campaign, line: OrderLine) -> Counter[str]:
    """Bought-in piece -> how many are still to be packed for one order of the line."""
    pieces: Counter[str] = Counter(campaign.tiers[line.tier].pieces)
    pieces.update(line.extra_pieces)
    if line.gone:
        pieces.subtract(line.gone.pieces)
    return +pieces


def items_in(campaign: Campaign, product: str, colourway: str) -> Counter[Item]:
    """Item -> parts in one unit of the product in that colourway."""
    made = campaign.products[product]
    items: Counter[Item] = Counter()
    for part, count in made.parts.items():
        items[part, tuple(made.colourways[colourway][part])] += count
    return items


def spoilt(campaign: Campaign, part: str) -> Fraction:
    """Share of good mouldings that the part's finishing spoils."""
    good = Fraction(1)
    for step in campaign.parts[part].finishing:
        good *= 1 - exact(step.scrap_share)
    return 1 - good


def needs(campaign: Campaign) -> dict[Item, Need]:
    """Every item the orders take, every item of spare units, and every item in stock."""
    units_ordered: Counter[tuple[str, str]] = Counter()
    for line in campaign.orders:
        for unit, units in units_of(line).items():
            units_ordered[unit] += line.count * units
    ordered: Counter[Item] = Counter()
    for (product, colourway), units in units_ordered.items():
        for item, parts in items_in(campaign, product, colourway).items():
            ordered[item] += units * parts
    spare: Counter[Item] = Counter()
    for product, made in campaign.products.items():
        for colourway, units in made.spare_units.items():
            for item, parts in items_in(campaign, product, colourway).items():
                spare[item] += units * parts
    stock: Counter[Item] = Counter()
    raw: Counter[Item] = Counter()
    for name, part in campaign.parts.items():
        for kept in part.stock:
            (stock if kept.finished else raw)[name, tuple(kept.colours)] += kept.count
    moulded = {item: int(count * (1 - spoilt(campaign, item[0]))) for item, count in raw.items()}
    return {
        item: Need(
            ordered[item],
            whole_up(ordered[item] * exact(campaign.parts[item[0]].spare_share)) + spare[item],
            stock[item] + moulded.get(item, 0),
            campaign.parts[item[0]].test_pieces,
            moulded.get(item, 0),
        )
        for item in sorted(set(ordered) | set(stock) | set(raw) | {item for item, parts in spare.items() if parts})
    }

"""Units and sub-assemblies in hand of which not all parts and pieces are said to be in stock.

What is in them counts as stock only where it stands there (RULES.md, B4, F8): else it is made or bought once more.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from planner.campaign import Campaign
from planner.demand.items import Item, parts_of_unit


@dataclass(frozen=True)
class NotInStock:
    """where: keys of the document down to the units in hand. of: a part with its colours, or a piece, as a text.
    needed, there: how many of it are in all that is put together, and in stock."""

    where: tuple[str, ...]
    what: str
    of: str
    needed: int
    there: int


def not_in_stock(campaign: Campaign) -> list[NotInStock]:
    """Each part and piece once, at what is put together where stock no longer covers it."""
    parts: Counter[Item] = Counter()
    pieces: Counter[str] = Counter()
    found: dict[str, NotInStock] = {}
    for where, what, inside, bought in _put_together(campaign):
        parts += inside
        pieces += bought
        for (part, colours), needed in sorted(parts.items()):
            there = sum(one.count for one in campaign.parts[part].stock if tuple(one.colours) == colours)
            if needed > there:
                name = f"{part} in {' and '.join(colours)}"
                found.setdefault(name, NotInStock(where, what, name, needed, there))
        for piece, needed in sorted(pieces.items()):
            if needed > (there := campaign.pieces[piece].stock):
                found.setdefault(piece, NotInStock(where, what, piece, needed, there))
    return list(found.values())


def _put_together(campaign: Campaign) -> Iterator[tuple[tuple[str, ...], str, Counter[Item], Counter[str]]]:
    """Where it is said, of what, and all parts and pieces in it."""
    for name, product in campaign.products.items():
        for colourway, units in product.assembled.items():
            inside = Counter({item: n * units for item, n in parts_of_unit(campaign, name, colourway).items()})
            bought = Counter({piece: n * units for piece, n in product.pieces.items()})
            yield ("products", name, "assembled", colourway), name, inside, bought
        for what, sub in product.sub_assemblies.items():
            for colourway, units in sub.in_hand.items():
                unit = parts_of_unit(campaign, name, colourway)
                inside = Counter({item: n * units for item, n in unit.items() if item[0] in sub.parts})
                bought = Counter({one: product.pieces[one] * units for one in sub.pieces})
                yield ("products", name, "sub_assemblies", what, "in_hand", colourway), what, inside, bought

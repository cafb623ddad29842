"""A parcel in its carton, checked by its layout: all in it, inside, apart, as heavy as said (RULES.md, B3)."""

from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import combinations

from planner.audit.figures import KG, exact, same
from planner.campaign import Campaign
from planner.campaign.packing import Carrier, Packable
from planner.plan.document import Laid, PackBatch

Sides = tuple[int, int, int]

BOARD = 4
"""mm of board where the campaign gives no outside."""


def carton_troubles(campaign: Campaign, name: str, batch: PackBatch, pieces: dict[str, int]) -> Iterator[str]:
    """Whatever is wrong with the carton the batch's parcels take. pieces: a parcel's, carton included."""
    bought, box = campaign.pieces.get(name), batch.box
    if bought is None or bought.carton is None or box is None or box.carton != name:
        yield f"no box is shown for carton `{name}`"
        return
    carton = bought.carton
    a, b, c = carton.inside_mm
    x, y, z = carton.outside_mm or (a + 2 * BOARD, b + 2 * BOARD, c + 2 * BOARD)
    if (box.inside_mm, box.outside_mm) != ((a, b, c), (x, y, z)):
        yield f"carton `{name}` is not of the size shown"
    things = [(piece, n, campaign.pieces[piece]) for piece, n in pieces.items() if piece != name]
    grams = exact(carton.tare_g) + exact(carton.padding_g)
    grams += sum((n * piece_grams(campaign, piece) for piece, n, _ in things), Fraction(0))
    packed: list[tuple[str, int, Packable]] = [*things]
    for product, colourways in batch.contents.items():
        units = sum(colourways.values())
        packed.append((product, units, campaign.products[product]))
        grams += units * unit_grams(campaign, product)
    room = (a - 2 * carton.padding_mm, b - 2 * carton.padding_mm, c - 2 * carton.padding_mm)
    yield from _layout(box.layout, packed, room)
    if not same(float(grams) / 1000, box.gross_kg, KG):
        yield f"its parcels weigh {float(grams) / 1000:.3f} kg, not {box.gross_kg:.3f}"
    longest, *others = sorted((x, y, z), reverse=True)
    taker = carrier_of(campaign, batch)
    limits = (
        ("carton", float(grams) / 1000, carton.max_kg),
        ("carrier", float(grams) / 1000, taker.max_kg),
        ("carrier's length", longest, taker.longest_mm),
        ("carrier's girth", longest + 2 * sum(others), taker.girth_mm),
    )
    for what, figure, most in limits:
        if most is not None and figure > most + 1e-9:
            yield f"{figure:g} is over the limit of {most:g} ({what})"


def carrier_of(campaign: Campaign, batch: PackBatch) -> Carrier:
    """What is said of the carrier a batch goes with; of one that the campaign does not have, nothing."""
    if not campaign.carriers:
        return campaign.carrier
    return campaign.carriers.get(batch.carrier, Carrier())


def unit_grams(campaign: Campaign, product: str) -> Fraction:
    """Mass of one unit of a product, g: as given, or its parts and pieces."""
    made = campaign.products[product]
    if made.mass_g is not None:
        return exact(made.mass_g)
    grams = sum((n * part_grams(campaign, part) for part, n in made.parts.items()), Fraction(0))
    return grams + sum((n * piece_grams(campaign, piece) for piece, n in made.pieces.items()), Fraction(0))


def part_grams(campaign: Campaign, part: str) -> Fraction:
    """Mass of one part with what it is moulded over, g."""
    made = campaign.parts[part]
    grams = sum((exact(barrel.mass_g) for barrel in made.barrels), Fraction(0))
    if made.moulded_over is not None:
        grams += sum((one.number * part_grams(campaign, one.part) for one in made.moulded_over.parts), Fraction(0))
        for name, number in made.moulded_over.pieces.items():
            grams += number * exact(campaign.pieces[name].mass_g or 0)
    return grams


def piece_grams(campaign: Campaign, piece: str) -> Fraction:
    """Mass of one bought-in piece, g; a carton without one weighs its tare."""
    bought = campaign.pieces[piece]
    if bought.mass_g is None:
        return exact(bought.carton.tare_g) if bought.carton else Fraction(0)
    return exact(bought.mass_g)


def _layout(layout: Sequence[Laid], packed: Sequence[tuple[str, int, Packable]], room: Sides) -> Iterator[str]:
    """Everything with a size is laid once, turned as it may be, inside the room, and nothing in another's place."""
    asked: Counter[tuple[str, tuple[int, ...]]] = Counter()
    standing = set()
    for thing, n, made in packed:
        if made.packed_mm is not None:
            asked[thing, tuple(sorted(made.packed_mm))] += n
            if made.stands:
                standing.add((thing, made.packed_mm[2]))
    upright = dict(standing)
    laid = Counter((one.thing, tuple(sorted(one.sides_mm))) for one in layout)
    if laid != asked:
        yield f"its layout holds {len(layout)} things, not the {sum(asked.values())} of the order"
    for one in layout:
        if one.thing in upright and one.sides_mm[2] != upright[one.thing]:
            yield f"`{one.thing}` must stand, and lies"
        ends = [at + side for at, side in zip(one.at_mm, one.sides_mm, strict=True)]
        if min(one.at_mm) < 0 or any(end > most for end, most in zip(ends, room, strict=True)):
            yield f"`{one.thing}` sticks out of the carton"
    for one, other in combinations(layout, 2):
        if all(
            one.at_mm[k] < other.at_mm[k] + other.sides_mm[k] and other.at_mm[k] < one.at_mm[k] + one.sides_mm[k]
            for k in range(3)
        ):
            yield f"`{one.thing}` and `{other.thing}` lie in the same place"

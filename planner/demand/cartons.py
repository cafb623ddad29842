"""Which carton a parcel takes: chosen before anything is scheduled, since cartons are bought and used up too."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import fields, replace
from functools import lru_cache
from math import fsum

from planner.campaign import Campaign
from planner.campaign.packing import Packable
from planner.demand.at_the_shot import mass_g
from planner.dispatch.cartons import Carton, CartonChoice, Content, choose_carton
from planner.dispatch.fitting import Sides
from planner.dispatch.weights import Carrier, refusals

Number = tuple[str, int]
"""An id and how many."""

BOARD_MM = 4
"""Thickness of carton board where no outside is given. Common practice, no source."""

MOST_THINGS = 300
"""Things with a size in one parcel; beyond that no fit is looked for."""


def box_for(
    campaign: Campaign, tier: str, products: Iterable[Number], pieces: Iterable[Number], with_carrier: str = ""
) -> CartonChoice | None:
    """The cheapest carton of the tier that takes one parcel's contents and that the carrier takes, or the reasons
    against each; None where the tier names no cartons. Gross weight in kg, pieces without a size included.

    products: units per product; pieces: pieces packed beside them, without a carton. with_carrier: one of several.
    """
    if not campaign.tiers[tier].cartons:
        return None
    things: list[tuple[Packable, float, str, int]]
    things = [(campaign.products[name], unit_kg(campaign, name), name, n) for name, n in sorted(products)]
    things += [(campaign.pieces[name], piece_kg(campaign, name), name, n) for name, n in sorted(pieces)]
    contents: list[Content] = []
    loose = []
    for made, kg, name, n in things:
        if made.packed_mm is None:
            loose.append(kg * n)
        else:
            contents += [Content(name, _sides(made), kg, made.stands)] * n
    if len(contents) > MOST_THINGS:
        why = f"{len(contents)} things in one parcel; at most {MOST_THINGS} are fitted"
        return CartonChoice(None, None, 0.0, tuple((name, why) for name in campaign.tiers[tier].cartons))
    on_offer = tuple(carton(campaign, name) for name in campaign.tiers[tier].cartons)
    return _chosen(tuple(contents), fsum(loose), on_offer, carrier(campaign, with_carrier))


def of_products(units: Iterable[tuple[tuple[str, str], int]]) -> tuple[Number, ...]:
    """Units per product, whatever their colourway, from ((product, colourway), number): carton and customs ask this."""
    number: Counter[str] = Counter()
    for (product, _), n in units:
        number[product] += n
    return tuple(sorted(number.items()))


def unit_kg(campaign: Campaign, product: str) -> float:
    """Mass of one unit of a product, kg: as given, or its parts and pieces."""
    made = campaign.products[product]
    if made.mass_g is not None:
        return made.mass_g / 1000
    moulded = fsum(mass_g(campaign, part) * n for part, n in made.parts.items())
    return moulded / 1000 + fsum(piece_kg(campaign, piece) * n for piece, n in made.pieces.items())


def piece_kg(campaign: Campaign, piece: str) -> float:
    """Mass of one bought-in piece, kg; a carton's is its tare."""
    bought = campaign.pieces[piece]
    if bought.mass_g is None and bought.carton is not None:
        return bought.carton.tare_g / 1000
    return (bought.mass_g or 0.0) / 1000


def carton(campaign: Campaign, piece: str) -> Carton:
    """The carton a bought-in piece is."""
    bought = campaign.pieces[piece]
    assert bought.carton is not None  # a cross-check asks for it
    a, b, c = bought.carton.inside_mm
    outside = bought.carton.outside_mm
    x, y, z = outside or (a + 2 * BOARD_MM, b + 2 * BOARD_MM, c + 2 * BOARD_MM)
    return Carton(
        id=piece,
        inside=(a, b, c),
        outside=(x, y, z),
        kg=bought.carton.tare_g / 1000,
        cost=bought.price,
        padding_mm=bought.carton.padding_mm,
        padding_kg=bought.carton.padding_g / 1000,
        largest_kg=bought.carton.max_kg,
    )


def carrier(campaign: Campaign, name: str = "") -> Carrier:
    """The campaign's carrier, or one of several, as the weighing rules know it."""
    said = campaign.carriers[name] if name else campaign.carrier
    return Carrier(name or "carrier", **{rule.name: getattr(said, rule.name) for rule in fields(Carrier)[1:]})


def _sides(made: Packable) -> Sides:
    assert made.packed_mm is not None
    a, b, c = made.packed_mm
    return a, b, c


@lru_cache(maxsize=4096)
def _chosen(
    contents: tuple[Content, ...], loose_kg: float, on_offer: tuple[Carton, ...], taker: Carrier
) -> CartonChoice:
    """Many orders ask the same question: each is answered once."""
    net = fsum((loose_kg, *(content.kg for content in contents)))
    refused, taken = [], []
    for one in on_offer:
        why = refusals(net + one.kg + one.padding_kg, one.outside, taker)
        refused += [(one.id, reason) for reason in why[:1]]
        taken += [] if why else [one]
    choice = choose_carton(contents, taken, loose_kg)
    return replace(choice, tried=(*refused, *choice.tried))

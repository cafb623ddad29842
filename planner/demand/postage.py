"""What the parcels cost to send: by their charged weight and the country each goes to."""

from collections.abc import Iterable
from functools import lru_cache
from math import fsum

from planner.campaign import Campaign
from planner.demand.cartons import Number, box_for, carrier, of_products, piece_kg, unit_kg
from planner.demand.parts import Units
from planner.dispatch.rates import Postage, Tariff, cheapest, for_country
from planner.dispatch.weights import parcel_weight


def tariffs(campaign: Campaign) -> tuple[Tariff, ...]:
    """The campaign's rates, regions written out as their countries."""
    return tuple(
        Tariff(
            number,
            frozenset(country for name in rate.to for country in campaign.regions.get(name, [name]))
            if rate.to
            else None,
            tuple((step.up_to_kg, step.price) for step in rate.steps),
            rate.door_days,
        )
        for number, rate in enumerate(campaign.carrier.rates)
    )


def charged_kg(campaign: Campaign, tier: str, products: Iterable[Number], pieces: Iterable[Number]) -> float:
    """What the carrier charges a parcel for, kg. pieces: packed in it, a carton that the tier chooses left out.

    Without a carton of known size it is what is in it, rounded up as the carrier does.
    """
    products, pieces = list(products), list(pieces)
    box = box_for(campaign, tier, products, pieces)
    if box is not None and box.carton is not None:
        return parcel_weight(box.gross_kg, box.carton.outside, carrier(campaign)).chargeable
    net = fsum([*(unit_kg(campaign, p) * n for p, n in products), *(piece_kg(campaign, p) * n for p, n in pieces)])
    return parcel_weight(net, (0, 0, 0), carrier(campaign)).chargeable


def postage(campaign: Campaign, kg: float, country: str) -> Postage | None:
    """What one parcel costs and by which tariff; None where no tariff takes it, or none is given."""
    return _postage(tariffs(campaign), kg, country)


@lru_cache(maxsize=8192)
def _postage(known: tuple[Tariff, ...], kg: float, country: str) -> Postage | None:
    return cheapest(for_country(known, country), kg)


def postage_of(campaign: Campaign, kg: float, lines: Iterable[tuple[int, int]]) -> float:
    """Money for parcels of so many kg each. lines: (index of the order line, parcels of it)."""
    known = tariffs(campaign)
    if not known:
        return 0.0
    found = ((_postage(known, kg, campaign.orders[line].country), parcels) for line, parcels in lines)
    return fsum(parcels * one.price for one, parcels in found if one is not None)


def parcel_kg(campaign: Campaign, tier: str, units: Units, pieces: Iterable[Number]) -> float:
    """What the carrier charges each parcel of a batch for, kg. pieces: all packed in it, its carton included."""
    cartons = campaign.tiers[tier].cartons
    return charged_kg(campaign, tier, of_products(units), [(piece, n) for piece, n in pieces if piece not in cartons])


def batch_postage(
    campaign: Campaign, tier: str, units: Units, pieces: Iterable[Number], lines: Iterable[tuple[int, int]]
) -> float:
    """Postage of a batch's parcels by the campaign's rates; 0 where it gives none. pieces: carton included."""
    return postage_of(campaign, parcel_kg(campaign, tier, units, pieces), lines) if campaign.carrier.rates else 0.0


def extra_postage(campaign: Campaign, tier: str, part: int, parcels: int) -> float:
    """Postage of parcels that are not the first of their orders."""
    split = campaign.tiers[tier].split
    return parcels * split.extra_postage if split is not None and part > 1 else 0.0

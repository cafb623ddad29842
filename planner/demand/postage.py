"""What the parcels cost to send: by their charged weight and the country each goes to."""

from collections.abc import Iterable
from functools import lru_cache
from math import fsum
from typing import Protocol

from planner.campaign import Campaign
from planner.demand.cartons import Number, box_for, carrier, of_products, piece_kg, unit_kg
from planner.demand.parts import Units
from planner.dispatch.rates import Postage, Tariff, cheapest, for_country
from planner.dispatch.weights import parcel_weight


class Posted(Protocol):
    """What postage asks of a pack batch."""

    @property
    def tier(self) -> str: ...

    @property
    def units(self) -> Units: ...

    @property
    def carrier(self) -> str: ...


def tariffs(campaign: Campaign, with_carrier: str = "") -> tuple[Tariff, ...]:
    """The rates of the campaign's carrier, or of one of several, regions written out as their countries."""
    said = campaign.carriers[with_carrier] if with_carrier else campaign.carrier
    return tuple(
        Tariff(
            number,
            frozenset(country for name in rate.to for country in campaign.regions.get(name, [name]))
            if rate.to
            else None,
            tuple((step.up_to_kg, step.price) for step in rate.steps),
            rate.door_days,
        )
        for number, rate in enumerate(said.rates)
    )


def charged_kg(
    campaign: Campaign, tier: str, products: Iterable[Number], pieces: Iterable[Number], with_carrier: str = ""
) -> float:
    """What the carrier charges a parcel for, kg. pieces: packed in it, a carton that the tier chooses left out.

    Without a carton of known size it is what is in it, rounded up as the carrier does.
    """
    products, pieces = list(products), list(pieces)
    box = box_for(campaign, tier, products, pieces, with_carrier)
    if box is not None and box.carton is not None:
        return parcel_weight(box.gross_kg, box.carton.outside, carrier(campaign, with_carrier)).chargeable
    net = fsum([*(unit_kg(campaign, p) * n for p, n in products), *(piece_kg(campaign, p) * n for p, n in pieces)])
    return parcel_weight(net, (0, 0, 0), carrier(campaign, with_carrier)).chargeable


def postage(campaign: Campaign, kg: float, country: str, with_carrier: str = "") -> Postage | None:
    """What one parcel costs and by which tariff; None where no tariff takes it, or none is given."""
    return _postage(tariffs(campaign, with_carrier), kg, country)


@lru_cache(maxsize=8192)
def _postage(known: tuple[Tariff, ...], kg: float, country: str) -> Postage | None:
    return cheapest(for_country(known, country), kg)


def parcel_kg(campaign: Campaign, tier: str, units: Units, pieces: Iterable[Number], with_carrier: str = "") -> float:
    """What the carrier charges each parcel of a batch for, kg. pieces: all packed in it, its carton included."""
    cartons = campaign.tiers[tier].cartons
    beside = [(piece, n) for piece, n in pieces if piece not in cartons]
    return charged_kg(campaign, tier, of_products(units), beside, with_carrier)


def batch_postage(
    campaign: Campaign, batch: Posted, pieces: Iterable[Number], lines: Iterable[tuple[int, int]]
) -> float:
    """Postage of a batch's parcels by its carrier's rates; 0 where it gives none. pieces: carton included. lines:
    (index of the order line, parcels of it)."""
    known = tariffs(campaign, batch.carrier)
    if not known:
        return 0.0
    kg = parcel_kg(campaign, batch.tier, batch.units, pieces, batch.carrier)
    found = ((_postage(known, kg, campaign.orders[line].country), parcels) for line, parcels in lines)
    return fsum(parcels * one.price for one, parcels in found if one is not None)


def extra_postage(campaign: Campaign, tier: str, part: int, parcels: int) -> float:
    """Postage of parcels that are not the first of their orders."""
    split = campaign.tiers[tier].split
    return parcels * split.extra_postage if split is not None and part > 1 else 0.0

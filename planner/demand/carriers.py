"""The carriers there are to choose from, and which of them each parcel goes with (RULES.md, B9 and B10)."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from planner.campaign import Campaign
from planner.campaign.benches import PickUps
from planner.campaign.carriers import OwnCarrier, Pallets
from planner.campaign.packing import Carrier
from planner.campaign.pointers import pointer
from planner.demand.cartons import Number, box_for
from planner.demand.postage import charged_kg, postage
from planner.dispatch.rates import Postage

ONLY = ""
"""The name of the one carrier of a campaign that names none."""


class Taker(NamedTuple):
    """A carrier of the campaign. legs_days: of all its legs together, fewest and most. at, picked_up_at: where the
    document speaks of it and of its pick-ups."""

    name: str
    said: Carrier
    pick_ups: PickUps
    legs_days: tuple[int, int]
    pallets: Pallets | None
    at: str
    picked_up_at: str

    @property
    def comes(self) -> bool:
        """Whether it is one of several and never picks up, or else whatever its calendar says."""
        return self.name == ONLY or bool(self.pick_ups.days or self.pick_ups.on_dates)


@dataclass(frozen=True)
class Way:
    """How a parcel goes. postage: None where its carrier gives no rates. door_days: from hand-over to door, fewest and
    most, None where that is not known."""

    carrier: str
    postage: Postage | None
    door_days: tuple[int, int] | None


def takers(campaign: Campaign) -> list[Taker]:
    """Every carrier, as the campaign lists them; where it lists none, the one of `carrier` and `pick_ups`."""
    if not campaign.carriers:
        at, picked = pointer("carrier"), pointer("pick_ups")
        return [Taker(ONLY, campaign.carrier, campaign.pick_ups, (0, 0), None, at, picked)]
    return [
        Taker(
            name,
            own,
            own.pick_ups,
            own.legs_days,
            own.pallets,
            pointer("carriers", name),
            pointer("carriers", name, "pick_ups"),
        )
        for name, own in campaign.carriers.items()
    ]


def pick_ups_of(campaign: Campaign, carrier: str) -> PickUps:
    """When a carrier picks up."""
    return campaign.carriers[carrier].pick_ups if carrier else campaign.pick_ups


def goes_to(campaign: Campaign, own: OwnCarrier, country: str) -> bool:
    """Whether a carrier takes parcels for a country."""
    return not own.to or any(country in campaign.regions.get(place, [place]) for place in own.to)


def way_for(
    campaign: Campaign, tier: str, products: Sequence[Number], pieces: Sequence[Number], country: str
) -> Way | None:
    """The cheapest way for one parcel, of equals that of the carrier listed first; None where no carrier takes it.

    pieces: packed beside the products, without a carton that the tier chooses.
    """
    found = [
        way
        for name in campaign.carriers or (ONLY,)
        if (way := _with(campaign, name, tier, products, pieces, country)) is not None
    ]
    return min(found, key=lambda way: way.postage.price if way.postage else 0.0, default=None)


def _with(
    campaign: Campaign, name: str, tier: str, products: Sequence[Number], pieces: Sequence[Number], country: str
) -> Way | None:
    """The way with one carrier, None where it does not take the parcel."""
    own = campaign.carriers.get(name)
    if own is not None and not (goes_to(campaign, own, country) and own.comes):
        return None
    box = box_for(campaign, tier, products, pieces, name)
    if box is not None and box.carton is None:
        return None
    said = own or campaign.carrier
    kg = charged_kg(campaign, tier, products, pieces, name)
    if own is not None and box is None and own.max_kg is not None and kg > own.max_kg:
        return None
    price = postage(campaign, kg, country, name)
    if price is None:
        return None if said.rates else Way(name, None, None)
    legs = own.legs_days if own is not None else (0, 0)
    days = price.tariff.door_days
    return Way(name, price, None if days is None else (legs[0] + days[0], legs[1] + days[1]))

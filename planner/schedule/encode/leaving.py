"""With whom pack batches leave, when each carrier comes, waves that wait for each other, and pallets by the piece."""

from collections.abc import Sequence

import numpy as np

from planner.calendars.clock import Clock
from planner.calendars.pickups import pickups
from planner.calendars.places import wall
from planner.campaign import Campaign
from planner.demand.carriers import takers
from planner.demand.parcels import Batch
from planner.schedule.encode.arrays import ints
from planner.schedule.instance import Instance


def every_pickup(campaign: Campaign, clock: Clock, days: int) -> list[tuple[int, int]]:
    """(second, number of its carrier) of each pick-up in the first `days` days, in order; by the clock and holidays of
    where parcels are packed."""
    beside, closed = wall(campaign, campaign.packing, clock)
    return sorted(
        (second, number)
        for number, taker in enumerate(takers(campaign))
        for second in pickups(taker.pick_ups, closed, beside, days)
    )


def pallets_least(campaign: Campaign, batches: Sequence[Batch]) -> float:
    """Money for as few pallets as each carrier's parcels fill: no order of work makes it less."""
    money = 0.0
    for taker in takers(campaign):
        if taker.pallets is not None:
            parcels = sum(batch.parcels for batch in batches if batch.carrier == taker.name)
            money += -(-parcels // taker.pallets.parcels) * taker.pallets.price
    return money


def with_leaving(instance: Instance, campaign: Campaign, batches: Sequence[Batch], clock: Clock, days: int) -> Instance:
    """The instance with several carriers and waves, where the campaign has them."""
    waves = sorted({wave for tier in campaign.tiers.values() if (wave := tier.wave) is not None})
    known = takers(campaign)
    if not campaign.carriers and not waves:
        return instance
    number = {taker.name: n for n, taker in enumerate(known)}
    mine = [campaign.tiers[batch.tier].wave for batch in batches]
    return instance._replace(
        leaving=1,
        batch_carrier=ints(number[batch.carrier] for batch in batches),
        batch_wave=ints(-1 if wave is None else waves.index(wave) for wave in mine),
        pickup_carrier=ints(carrier for _, carrier in every_pickup(campaign, clock, days)),
        carrier_parcels=ints(taker.pick_ups.parcels for taker in known),
        pallet_parcels=ints(taker.pallets.parcels if taker.pallets else 0 for taker in known),
        pallet_price=np.array([taker.pallets.price if taker.pallets else 0.0 for taker in known]),
        pallets_least=pallets_least(campaign, batches),
        waves=max(1, len(waves)),
    )

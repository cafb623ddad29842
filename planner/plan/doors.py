"""By when parcels come to the doors of those who wait for them."""

from collections.abc import Iterable
from datetime import date, timedelta

from planner.campaign import Campaign
from planner.demand.postage import parcel_kg, postage
from planner.plan.document import PackBatch


def last_at_a_door(campaign: Campaign, batches: Iterable[tuple[PackBatch, date]]) -> date | None:
    """The last day at a door, by the most days that each parcel's rate takes; None where one is not known.

    batches: each with the day on which it leaves.
    """
    last: date | None = None
    for batch, leaves in batches:
        legs = campaign.carriers[batch.carrier].legs_days[1] if batch.carrier else 0
        kg = parcel_kg(campaign, batch.tier, batch.units, batch.pieces.items(), batch.carrier)
        for country in {campaign.orders[line.line].country for line in batch.lines}:
            rate = postage(campaign, kg, country, batch.carrier)
            if rate is None or rate.tariff.door_days is None:
                return None
            day = leaves + timedelta(days=legs + rate.tariff.door_days[1])
            last = day if last is None else max(last, day)
    return last

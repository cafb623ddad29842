"""Campaigns whose parcels leave with several carriers, by the pallet, in waves, and are promised by region or to the
door."""

import random

from benchmarks.ways import carriers, waves
from planner.campaign import Campaign


def with_leaving(campaign: Campaign, seed: int) -> Campaign:
    """The campaign with some of that."""
    draw = random.Random(f"leaving {seed}")
    data = campaign.model_dump(mode="json", by_alias=True, exclude_defaults=True)
    if seed % 3:
        carriers(draw, data)
    if seed % 2 or not seed % 3:
        waves(draw, data)
    return Campaign.model_validate(data)

"""Campaigns with what some makers have beside the rest: bases with inserts, moulders' charges, wishes."""

import random

from benchmarks.ways import bases, charges, wishes
from planner.campaign import Campaign


def with_ways(campaign: Campaign, seed: int, wished: bool = True) -> Campaign:
    """The campaign with some of all that."""
    draw = random.Random(f"ways {seed}")
    data = campaign.model_dump(mode="json", by_alias=True, exclude_defaults=True)
    data.setdefault("floor", {})
    if seed % 2:
        bases(draw, data)
    if seed % 3:
        charges(draw, data)
    if wished and seed % 4:
        wishes(draw, data)
    return Campaign.model_validate(data)

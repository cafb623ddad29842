"""Campaigns some of whose presses stand at other places, drawn at random."""

import random

from benchmarks.ways import benches_elsewhere, finishing, places
from planner.campaign import Campaign
from planner.errors import CampaignProblems
from planner.reading import read


def elsewhere(campaign: Campaign, seed: int, benches: bool = False) -> Campaign | None:
    """The campaign with other places, every third time with benches and firms too; None where it cannot be planned.
    benches: whether these, assembly and packing may stand elsewhere too."""
    draw = random.Random(f"places {seed}")
    data = campaign.model_dump(mode="json", by_alias=True, exclude_unset=True)
    if seed % 3 == 0:
        finishing(draw, data)
        for part in data["parts"].values():
            for step in part["finishing"]:
                step.pop("lot_parts", None)
    places(draw, data)
    if benches:
        benches_elsewhere(draw, data)
    try:
        return read(data)
    except CampaignProblems:
        return None

"""Campaigns some of whose tools ask for people who stay at the press, drawn at random."""

import random

from benchmarks.small_campaigns import document
from benchmarks.ways import charges, operators, places
from planner.campaign import Campaign
from planner.errors import CampaignProblems
from planner.reading import read


def too_few(seed: int) -> Campaign | None:
    """A few runs on two presses, most of which ask for all the people there are; None where it cannot be planned."""
    draw = random.Random(f"too few operators {seed}")
    data = document(draw, draw.randint(2, 4), 2, draw.randint(1, 3), draw.choice([20, 60]))
    for tool in data["tools"].values():
        tool.pop("smallest_lot_shots", None)
        tool["operators"] = draw.choice([0, 2, 2, 3])
    data["floor"] |= {"operators": 3, "operator_rate_per_hour": draw.choice([0, 18])}
    if seed % 2:
        data["floor"]["attended"] = {"hours": {"mon-sat": "06:00-15:00"}}
        for press in data["presses"].values():
            press["lights_out"] = {"hours": 5}
    try:
        return read(data)
    except CampaignProblems:
        return None


def tended(campaign: Campaign, seed: int) -> Campaign | None:
    """The campaign with them, at times with hours of people and presses that run lights out, price lists or other
    places; None where it cannot be planned."""
    draw = random.Random(f"operators {seed}")
    data = campaign.model_dump(mode="json", by_alias=True, exclude_unset=True)
    if seed % 2:
        data["floor"]["attended"] = {"hours": {"mon-sat": draw.choice(["05:00-13:00", "07:00-12:00, 12:30-18:00"])}}
        for press in data["presses"].values():
            press["lights_out"] = {"hours": draw.choice([1, 6])}
    if seed % 3 == 0:
        charges(draw, data)
    if seed % 4 == 0:
        places(draw, data)
    operators(draw, data)
    try:
        return read(data)
    except CampaignProblems:
        return None

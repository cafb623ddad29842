"""Setters of our own floor and of other places, as arrays of an Instance."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from planner.campaign import Campaign
from planner.campaign.whereabouts import setter_rate
from planner.schedule.encode.arrays import ints


def setters(campaign: Campaign, presses: Sequence[str]) -> dict[str, Any]:
    """Fields of an Instance: how many setters there are, what they cost, and who of them sets up which press."""
    fields: dict[str, Any] = {
        "setters": campaign.floor.setters,
        "setter_cost_s": np.array([setter_rate(campaign, press) / 3600 for press in presses]),
    }
    if not campaign.places:
        return fields
    there: dict[str | None, tuple[int, int]] = {None: (0, campaign.floor.setters)}
    first = campaign.floor.setters
    for name, place in campaign.places.items():
        there[name] = first, first + place.setters
        first += place.setters
    who = [there[campaign.presses[press].place] for press in presses]
    return fields | {
        "setters": first,
        "elsewhere": 1,
        "setter_first": ints(begin for begin, _ in who),
        "setter_last": ints(end for _, end in who),
    }

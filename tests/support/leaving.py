"""Campaigns whose parcels leave with several carriers, by the pallet, in waves, and are promised by region or to the
door."""

import random
from typing import Any

from planner.campaign import Campaign

DAYS = ["mon", "tue", "wed", "thu", "fri", "sat"]


def own_carrier(draw: random.Random, to: list[str], room: int) -> dict[str, Any]:
    """A carrier with pick-ups, rates and perhaps legs and pallets of its own."""
    made: dict[str, Any] = {
        "to": to,
        "pick_ups": {
            "days": draw.sample(DAYS, draw.randint(1, 4)),
            "time": draw.choice(["09:30", "12:00", "17:00"]),
            "parcels": draw.choice([room, room // 2 + 1, 100_000]),
        },
        "rates": [
            {"steps": [{"up_to_kg": 500, "price": draw.choice([3, 4.5, 6])}], "door_days": [1, draw.randint(1, 9)]}
        ],
    }
    if draw.random() < 0.5:
        made["legs"] = [{"what": "at sea", "days": [3, draw.randint(3, 6)]}, {"what": "customs", "days": [0, 2]}]
    if draw.random() < 0.5:
        made["pallets"] = {"parcels": draw.choice([3, 20, 90]), "price": draw.choice([12, 85])}
    return made


def with_leaving(campaign: Campaign, seed: int) -> Campaign:
    """The campaign with some of that."""
    draw = random.Random(f"leaving {seed}")
    data = campaign.model_dump(mode="json", by_alias=True, exclude_defaults=True)
    most = max(line.get("count", 1) for line in data["orders"])
    if seed % 3:
        data.pop("carrier", None)
        data.pop("pick_ups", None)
        data["carriers"] = {"anywhere": own_carrier(draw, [], most)}
        for name in ("one", "other")[: draw.randint(1, 2)]:
            data["carriers"][name] = own_carrier(draw, draw.sample(["GB", "DE", "US"], draw.randint(1, 3)), most)
        for line in data["orders"]:
            line["country"] = draw.choice(["GB", "DE", "US"])
        data["regions"] = {"eu": ["DE"]}
    for tier in data["tiers"].values():
        if seed % 2 or not seed % 3:
            tier["wave"] = draw.choice([1, 2, 4])
        if seed % 3 and draw.random() < 0.6:
            tier["promised_to"] = "door"
            tier["promised_in"] = {"eu": draw.choice(["2027-04-10", "2027-05-01"])}
    return Campaign.model_validate(data)

"""Campaigns with what some makers have beside the rest: bases with inserts, moulders' charges, wishes."""

import random
from typing import Any

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


def steps_left(draw: random.Random, data: dict[str, Any]) -> None:
    """Most tools have steps left, of two toolmakers or of nobody; some say early, likely and late days."""
    data["toolmakers"] = {"one": {}, "other": {"works_on": ["mon", "wed", "thu"]}}
    for tool in data["tools"].values():
        if draw.random() < 0.7:
            tool["until_ready"] = {
                f"step {n}": {
                    "days": draw.choice([1, 0.5, {"early": 1, "likely": 2, "late": 6}]),
                    "by": draw.choice(["one", "other", None]),
                }
                for n in range(draw.randint(1, 3))
            }


def price_breaks(draw: random.Random, data: dict[str, Any]) -> None:
    """Resins and masterbatch are cheaper by the sack, the pallet, or ten of them."""
    for one in (*data["resins"].values(), *data["colours"].values()):
        price = one.setdefault("price_per_kg", 4)
        one.setdefault("lead_days", 2)
        one["price_breaks"] = [{"kg": draw.choice([5, 25, 100]), "price_per_kg": price * 0.7}]

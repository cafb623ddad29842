"""Campaigns with a purging compound put in: in hand or to come, scarce or not, with rules and figures of its own."""

import random
from typing import Any

from planner.campaign import Campaign
from planner.campaign.purging import Compound


def cleaned(campaign: Campaign, seed: int) -> Campaign:
    """The campaign with a random compound, dear or cheap, that may run out or come late."""
    draw = random.Random(seed)
    melts = sorted(
        {f"{b.resin}/{c}" for part in campaign.parts.values() for b in part.barrels for c in campaign.colours}
    )
    first = {
        "on": campaign.start.date().isoformat(),
        "amount": draw.choice([0.2, 3.0]),
    }
    compound: dict[str, Any] = {
        "price_per_kg": draw.choice([0.0, 3.0, 9.0]),
        "holdups": draw.choice([0.3, 1.0, 1.5]),
        "rinse_holdups": draw.choice([0.0, 0.5, 2.0]),
        "soak_minutes": draw.choice([0, 0, 3, 12]),
        "stock_kg": draw.choice([0.0, 0.15, 0.6, 20.0]),
        "arrivals": [first] if draw.random() < 0.3 else [],
        "lead_days": draw.choice([None, 0, 1, 3]),
        "bag_kg": draw.choice([1, 5]),
        "min_order_kg": draw.choice([0, 10]),
        "hot_runners": draw.random() < 0.6,
        "use": draw.choice(["cheapest", "cheapest", "always"]),
        "rules": [{"use": draw.choice(["never", "always", "cheapest"]), "to": draw.choice(melts)}],
        "given": [{"from": a, "to": b, "kg": 0.05, "rinse_kg": 0.1, "soak_minutes": 1}]
        if (a := draw.choice(melts)) != (b := draw.choice(melts))
        else [],
    }
    if "pom" in campaign.resins:
        compound["resins"] = sorted(campaign.resins)  # beside acetal it must be said what it is fit for
    if compound["stock_kg"] == 0 and not compound["arrivals"]:
        compound["lead_days"] = 1  # there must be some, where it is wanted always
    purging = campaign.purging.model_copy(update={"compound": Compound.model_validate(compound)})
    return campaign.model_copy(update={"purging": purging})

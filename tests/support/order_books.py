"""Random order books on small campaigns, and their plans."""

import random

from benchmarks.generator import small
from planner.campaign import Campaign
from planner.campaign.orders import OrderLine
from planner.control import Unhurried
from planner.errors import Infeasible
from planner.plan import RunPlan
from planner.planning.make import make_plan


def order_book(seed: int) -> Campaign:
    """A small campaign with an order book of its own: more lines, add-ons, counts, countries, all from the seed."""
    draw = random.Random(seed)
    campaign = small(seed % 100)
    lines = list(campaign.orders)
    for n in range(draw.randint(1, 25)):
        model = draw.choice(campaign.orders)
        units = {
            product: [
                draw.choice(sorted({c for o in campaign.orders for c in o.units.get(product, ())})) for _ in chosen
            ]
            for product, chosen in model.units.items()
        }
        lines.append(
            OrderLine(
                ref=f"N{n}",
                tier=model.tier,
                units=units,
                extra_units=model.extra_units,
                extra_pieces=model.extra_pieces,
                country=draw.choice(("GB", "DE", "US", "JP")),
                count=draw.randint(1, 6),
            )
        )
    draw.shuffle(lines)
    quick = campaign.planning.model_copy(update={"rounds": 0})
    return packed(campaign.model_copy(update={"orders": lines, "planning": quick}), random.Random(seed + 10**6))


def packed(campaign: Campaign, draw: random.Random) -> Campaign:
    """The order book with cartons to choose from, orders in parts, spare units and inspection, where a coin says so."""
    sizes = {name: [draw.randint(40, 120) for _ in range(3)] for name in campaign.products}
    cartons = {
        "small-box": {"price": 0.3, "lead_days": 2, "carton": {"inside_mm": [250, 250, 130], "tare_g": 90}},
        "big-box": {"price": 0.9, "lead_days": 2, "carton": {"inside_mm": [900, 700, 700], "tare_g": 600}},
    }
    document = campaign.model_dump(mode="json", exclude_defaults=True)
    document["pieces"] = document.get("pieces", {}) | cartons
    for name, made in document["products"].items():
        made["packed_mm"] = sizes[name]
        if draw.random() < 0.3:
            made["spare_units"] = {draw.choice(list(made["colourways"])): draw.randint(1, 4)}
    for tier in document["tiers"].values():
        if draw.random() < 0.6:
            tier["cartons"] = list(cartons)
        if draw.random() < 0.4:
            tier["split"] = {"parcels": draw.randint(2, 3), "extra_postage": draw.choice([0, 1.9])}
            tier["split"]["ship"] = draw.choice(["in parts", "in parts", "whole"])
    for part in document["parts"].values():
        if draw.random() < 0.3:
            part["inspection"] = {"defects": {"looks": {"aql": draw.choice([0.65, 2.5])}}, "minutes": 0.2}
    return Campaign.model_validate(document)


def planned(seed: int) -> tuple[Campaign, RunPlan] | None:
    """The order book and its plan; None where the campaign has no room for so many orders."""
    campaign = order_book(seed)
    try:
        return campaign, make_plan(campaign, Unhurried())
    except Infeasible:
        return None

"""A floor of some sixty runs under names as long as a form takes, alike but for their ends; and a floor with nothing
left to mould."""

import json
from functools import cache
from random import Random
from typing import Any

from api.demo import DEMO
from api.pages.form_changes import with_names
from benchmarks.sized_campaigns import Size, document
from planner.campaign import Campaign
from planner.campaign.base import LONGEST_NAME
from planner.control import Unhurried
from planner.plan import RunPlan
from planner.planning.make import make_plan
from planner.reading import read

LONG = "Underside lid for the tall pot, second edition, with the little feet on it, "
NAMED = ("presses", "tools", "resins", "colours", "parts", "pieces", "products", "colourways", "tiers")


def long_document() -> dict[str, Any]:
    """60 run demands on four presses, every name as long as any may be, different at its end only."""
    made = document(Size(60, 4, 12, 2, 6, 60, 6), Random(7))
    ways = {way for product in made["products"].values() for way in product["colourways"]}
    names = {section: {name: lengthened(name) for name in made.get(section, {})} for section in NAMED}
    named: dict[str, Any] = with_names(made, names | {"colourways": {way: lengthened(way) for way in ways}})
    for line in named["orders"]:
        line["units"] = {product: [lengthened(way) for way in chosen] for product, chosen in line["units"].items()}
    return named | {"planning": {"rounds": 1}}


def lengthened(name: str) -> str:
    return f"{LONG[: LONGEST_NAME - len(name) - 1]} {name}"


@cache
def sixty_runs() -> tuple[Campaign, RunPlan]:
    """Campaign and plan."""
    campaign = read(long_document())
    return campaign, make_plan(campaign, Unhurried())


@cache
def nothing_left() -> tuple[Campaign, RunPlan]:
    """The example to write over, where stock covers all orders: parcels leave and no press turns."""
    made = json.loads((DEMO.parent / "starter.json").read_text(encoding="utf-8"))
    for part in made["parts"].values():
        part["stock"] = [{"colours": [colour], "count": 2000} for colour in made["colours"]]
    campaign = read(made | {"planning": {"rounds": 5}})
    return campaign, make_plan(campaign, Unhurried())

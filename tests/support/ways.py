"""Campaigns with what some makers have beside the rest: bases with inserts, moulders' charges, wishes."""

import random
from datetime import date, timedelta
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


def others_work(draw: random.Random, data: dict[str, Any]) -> None:
    """Others have some presses on some days, or whenever they are closed for us; some say what they leave."""
    melts = [f"{barrel['resin']}/{colour}" for part in data["parts"].values() for barrel in part["barrels"][:1]
             for colour in data["colours"]]  # fmt: skip
    for n, press in enumerate(data["presses"].values()):
        if n == 0 or draw.random() < 0.5:
            when: dict[str, Any] = {
                "hours": {draw.choice(["tue", "wed", "mon-tue"]): draw.choice(["09:00-13:00", "12:00-16:30"])}
            }
            if draw.random() < 0.3:
                when = {"whenever_closed": True}
            leaves = [draw.choice(melts) for _ in press["barrels"]] if draw.random() < 0.6 else []
            press["others"] = [when | {"leaves": leaves}]


def moulded_over(draw: random.Random, data: dict[str, Any]) -> None:
    """Parts of one tool are moulded over one of another's, most of them over an insert that comes later, too."""
    tools = {part: name for name, tool in data["tools"].items() for part in tool["cavities"]}
    over, core = draw.choice([(one, other) for one in tools for other in tools if tools[one] != tools[other]])
    ways = [way[core] for product in data["products"].values() for way in product["colourways"].values() if core in way]
    data["pieces"] = data.get("pieces", {}) | {
        "insert": {"price": 0.05, "stock": draw.choice([0, 90, 5000]), "lead_days": draw.choice([0, 1, 4])}
    }
    data["parts"][over]["moulded_over"] = {
        "parts": [{"part": core, "colours": draw.choice(ways), "number": draw.choice([1, 1, 2])}],
        "pieces": draw.choice([{}, {"insert": 1}]),
    }
    data["parts"][core]["rest_hours"] = draw.choice([0, 3, 20])


def another_recipe(draw: random.Random, data: dict[str, Any]) -> None:
    """Some colour is looked at on a day: it is taken, or another recipe takes its place; prices fall with the order."""
    price_breaks(draw, data)
    natural = {resin.get("natural_colour") for resin in data["resins"].values()}
    colour, days = draw.choice(sorted(set(data["colours"]) - natural)), draw.choice([1, 2])
    data["colours"][colour] |= {"stock_kg": 0, "arrivals": [], "lead_days": days + 2}
    day = date.fromisoformat(data["start"][:10]) + timedelta(days=days)
    data.setdefault("uncertainty", {})["settled"] = {
        "colour": {
            "on": day.isoformat(),
            "outcomes": {
                "taken": {"chance": 0.6},
                "another": {
                    "chance": 0.4,
                    "colours": {colour: {"early": 0, "likely": 1, "late": 2}},
                    "recipes": {
                        colour: {"let_down_percent": draw.choice([1, 4, 6]), "price_per_kg": draw.choice([9, 30])}
                    },
                },
            },
        }
    }

"""Random small workshops, each with a few of the things that make planning hard.

Invented data with a fixed seed. Run lengths are minutes to hours, so that closings, restarts, late arrivals, pick-ups
and promised dates all fall inside a few days.
"""

import random
from datetime import date, timedelta
from typing import Any

Draw = random.Random
Json = dict[str, Any]

HEXES = ("#efe6cf", "#8fa58a", "#b5623f", "#5b6670", "#232a3f", "#d3a536")
COLOURS = ("cream", "sage", "brick", "slate", "ink", "mustard")

# Zone and first days around a clock change: London springs forward on 28 March 2027 and falls back on 25 October 2026,
# New York on 14 March 2027, Lord Howe by half an hour on 4 April 2027; Kolkata never does.
STARTS = (
    ("Europe/London", "2027-01-11"),
    ("Europe/London", "2027-03-26"),
    ("Europe/London", "2026-10-23"),
    ("America/New_York", "2027-03-12"),
    ("Australia/Lord_Howe", "2027-04-02"),
    ("Asia/Kolkata", "2027-02-03"),
)
PRESS_WEEKS: tuple[dict[str, str], ...] = (
    {"mon-fri": "06:00-22:00"},
    {"mon-fri": "08:00-16:30", "sat": "08:00-12:00"},
    {"mon-sun": "22:00-06:00"},
    {"mon-sun": "00:00-24:00"},
    {"mon-sun": "07:00-10:00, 10:30-13:30, 15:00-18:00"},
    {"mon-sat": "06:00-09:30, 12:00-20:00"},
    {"tue-fri": "06:00-14:00, 14:00-22:00"},
)
BENCH_WEEKS: tuple[dict[str, str], ...] = (
    {"mon-fri": "08:00-16:00"},
    {"mon-sun": "08:00-12:00 x2, 12:30-16:30 x3"},
    {"mon-sat": "07:00-19:00 x2"},
    {"mon-sun": "20:00-04:00"},
)


def document(draw: Draw, runs: int, presses: int, lines: int, most_ordered: int) -> Json:
    """A campaign document with about so many run demands, on so many presses, from so many order lines."""
    zone, day = draw.choice(STARTS)
    colours = list(COLOURS[: draw.randint(2, 4)])
    two_shot = draw.random() < 0.45
    machines = _presses(draw, presses, two_shot, colours)
    parts, tools = _tools(draw, runs, list(machines), two_shot, colours)
    data: Json = {
        "name": "small workshop",
        "currency": "EUR",
        "time_zone": zone,
        "start": f"{day}T{draw.choice(['00:00', '06:00', '07:30', '13:20'])}",
        "confidence": draw.choice([0.8, 0.95, 0.99]),
        "presses": machines,
        "tools": tools,
        "resins": _resins(draw, day),
        "colours": {c: _colour(draw, c) for c in colours} | {"clear": {"hex": "#f1f0ec", "let_down_percent": 0}},
        "parts": parts,
        "pieces": _pieces(draw, day),
        "products": _products(draw, parts, colours),
        "regions": draw.choice([{}, {"home": ["GB"]}, {"home": ["GB"], "europe": ["DE", "FR"]}]),
        "floor": {
            "setters": draw.randint(1, 2),
            "setter_rate_per_hour": draw.choice([0, 30]),
            "disposal_per_kg": draw.choice([0, 0.4]),
        },
        "assembly": _bench(draw),
        "packing": _bench(draw) | {"batch_parcels": draw.choice([20, 50, 1000])},
        "pick_ups": {
            "days": draw.sample(["mon", "tue", "wed", "thu", "fri"], draw.randint(1, 3)),
            "time": draw.choice(["10:00", "16:00"]),
            "parcels": draw.choice([40, 100, 5000]),
        },
    }
    data["tiers"] = _tiers(draw, list(data["products"]), day)
    data["orders"] = _orders(draw, data, lines, most_ordered)
    if draw.random() < 0.3:
        data["closed_days"] = [_later(day, draw.randint(1, 4))]
    if draw.random() < 0.4:
        data["purging"] = {"given": [_given(draw, colours)]}
    if draw.random() < 0.2:
        _add_acetal(draw, data)
    if draw.random() < 0.25:
        _begin(draw, data)
    _first_contents(data)
    return data


def _first_contents(data: Json) -> None:
    """Barrels that hold nothing are clean, and so are hot runners."""
    for press in data["presses"].values():
        for barrel in press["barrels"]:
            barrel["clean"] = "holds" not in barrel
    for tool in data["tools"].values():
        tool["hot_runner_clean"] = True


def _later(day: str, days: int) -> str:
    return (date.fromisoformat(day) + timedelta(days=days)).isoformat()


def _presses(draw: Draw, number: int, two_shot: bool, colours: list[str]) -> Json:
    machines: Json = {}
    for n in range(number):
        barrels = 2 if (two_shot and n == 0) or draw.random() < 0.2 else 1
        press: Json = {
            "barrels": [
                {
                    "holdup_kg": draw.choice([0.08, 0.15, 0.3]),
                    "shot_max_g": 400,
                    **({"holds": f"{'pp' if k == 0 else 'tpe'}/{draw.choice(colours)}"} if draw.random() < 0.4 else {}),
                }
                for k in range(barrels)
            ],
            "clamp_kn": draw.choice([800, 1200]),
            "hours": draw.choice(PRESS_WEEKS),
            "rate_per_hour": draw.choice([20, 35.5, 50]),
            "efficiency": draw.choice([1, 0.9, 0.85]),
            "restart_minutes": draw.choice([0, 5, 12.5]),
        }
        machines[f"p{n + 1}"] = press
    return machines


def _tools(draw: Draw, runs: int, presses: list[str], two_shot: bool, colours: list[str]) -> tuple[Json, Json]:
    parts: Json = {}
    tools: Json = {}
    number = max(1, min(4, round(runs / len(colours)) + draw.randint(0, 1)))
    for n in range(number):
        two = two_shot and n == 0
        made = [f"part{n}{letter}" for letter in "abc"[: draw.choice([1, 1, 2, 3])]]
        for part in made:
            parts[part] = _part(draw, two, colours)
        fits = ["p1"] if two else draw.sample(presses, draw.randint(1, len(presses)))
        tool: Json = {
            "cavities": {part: draw.randint(1, 4) for part in made},
            "runner_g": [draw.choice([0, 2.5, 6])] * (2 if two else 1),
            "cycle_s": draw.choice([18, 27.5, 40, 61]),
            "scrap_share": draw.choice([0, 0.02, 0.08]),
            "clamp_kn": draw.choice([200, 700]),
            "mount_minutes": draw.choice([0, 10, 30]),
            "startup_shots": draw.choice([0, 3, 10]),
            "presses": sorted(fits),
        }
        if draw.random() < 0.3:
            tool["hot_runner_kg"] = [0.04] + ([0.02] if two else [])
        if draw.random() < 0.3:
            tool["purge_cycle_s"] = draw.choice([10, 15.5])
        if draw.random() < 0.3:
            tool["smallest_lot_shots"] = draw.choice([5, 15, 40])
        if draw.random() < 0.3 and (wide := [p for p, c in tool["cavities"].items() if c > 1]):
            tool["blocked_cavities"] = {wide[0]: 1}
        tools[f"t{n + 1}"] = tool
    return parts, tools


def _part(draw: Draw, two: bool, colours: list[str]) -> Json:
    barrels = [{"resin": "pp", "mass_g": draw.choice([6, 14.5, 30])}]
    if two:
        barrels.append({"resin": "tpe", "mass_g": draw.choice([2.5, 7])})
    part: Json = {"barrels": barrels, "surface": draw.choice(["visible", "hidden"])}
    if draw.random() < 0.3:
        part["rest_hours"] = draw.choice([1, 6.5])
    if draw.random() < 0.3:
        part["spare_share"] = draw.choice([0.02, 0.1])
    if draw.random() < 0.3:
        part["stock"] = [{"colours": [draw.choice(colours) for _ in barrels], "count": draw.randint(1, 40)}]
    return part


def _resins(draw: Draw, day: str) -> Json:
    resins: Json = {
        "pp": {"family": "PP", "price_per_kg": 1.7, "stock_kg": 900, "natural_colour": "clear"},
        "tpe": {"family": "TPE", "price_per_kg": 4.2, "stock_kg": 200, "drying_hours": draw.choice([0, 2.5])},
    }
    if draw.random() < 0.3:
        resins["pp"] |= {"stock_kg": 1, "lead_days": draw.randint(0, 3), "min_order_kg": 50, "regrind_share": 0.2}
    if draw.random() < 0.2:
        resins["tpe"] |= {
            "stock_kg": 1,
            "arrivals": [{"on": f"{_later(day, draw.randint(0, 2))}T09:15", "amount": 400}],
        }
    return resins


def _colour(draw: Draw, name: str) -> Json:
    colour: Json = {
        "hex": HEXES[COLOURS.index(name)],
        "price_per_kg": draw.choice([9, 13.5]),
        "stock_kg": 30,
        "let_down_percent": draw.choice([1, 2, 4]),
        "strength": draw.choice([0.7, 1, 1.8]),
    }
    if draw.random() < 0.2:
        colour |= {"stock_kg": 0, "lead_days": draw.randint(1, 3)}
    return colour


def _pieces(draw: Draw, day: str) -> Json:
    pieces: Json = {
        "leaflet": {"price": 0.1, "stock": 20000},
        "carton": {"price": 0.6, "stock": 10, "lead_days": draw.randint(0, 4), "pack_of": 25, "min_order": 50},
        "insert": {"price": 0.2, "stock": 5, "arrivals": [{"on": _later(day, draw.randint(0, 3)), "amount": 9000}]},
    }
    return pieces


def _products(draw: Draw, parts: Json, colours: list[str]) -> Json:
    products: Json = {}
    names = list(parts)
    groups = [names] if len(names) == 1 or draw.random() < 0.6 else [names[::2], names[1::2]]
    for n, group in enumerate(groups):
        ways = colours[: draw.randint(2, len(colours))]
        # Some parts come in one colour for all: runs that every order waits for.
        plain = {part: draw.random() < 0.3 for part in group}
        shared = draw.choice([*colours, "clear"])
        products[f"product{n + 1}"] = {
            "parts": {part: draw.choice([1, 1, 2]) for part in group},
            "pieces": draw.choice([{}, {"insert": 1}]),
            "assembly_minutes": draw.choice([0, 0.5, 2]),
            "colourways": {
                way: {
                    part: [shared if plain[part] else way] + ([shared] if len(parts[part]["barrels"]) == 2 else [])
                    for part in group
                }
                for way in ways
            },
        }
    return products


def _tiers(draw: Draw, products: list[str], day: str) -> Json:
    first = products[0]
    tiers: Json = {
        "single": {"units": {first: 1}, "pieces": {"leaflet": 1}},
        "pair": {"units": {first: 2}, "pieces": {"leaflet": 1, "carton": 1}},
    }
    if len(products) > 1:
        tiers["both"] = {"units": dict.fromkeys(products, 1), "pieces": {"carton": 1}}
    for tier in tiers.values():
        tier |= {"pack_minutes": draw.choice([0.5, 1.5]), "priority": draw.randint(1, 9)}
        if draw.random() < 0.8:
            tier |= {"promised": _later(day, draw.randint(1, 12)), "late_cost_per_day": draw.choice([0.1, 0.5, 3])}
    return tiers


def _orders(draw: Draw, data: Json, lines: int, most: int) -> list[Json]:
    orders = []
    for n in range(lines):
        tier = draw.choice(list(data["tiers"]))
        units = {
            product: [draw.choice(list(data["products"][product]["colourways"])) for _ in range(number)]
            for product, number in data["tiers"][tier]["units"].items()
        }
        line: Json = {"ref": f"o{n + 1}", "tier": tier, "units": units, "count": draw.randint(1, most)}
        line["country"] = draw.choice(["GB", "GB", "DE", "US"])
        if draw.random() < 0.15:
            product = draw.choice(list(data["products"]))
            line["extra_units"] = {product: [draw.choice(list(data["products"][product]["colourways"]))]}
        if draw.random() < 0.15:
            line["extra_pieces"] = {"insert": draw.randint(1, 2)}
        orders.append(line)
    return orders


def _bench(draw: Draw) -> Json:
    return {"hours": draw.choice(BENCH_WEEKS), "people": draw.randint(1, 3), "rate_per_hour": draw.choice([0, 15])}


def _given(draw: Draw, colours: list[str]) -> Json:
    old, new = draw.sample(colours, 2)
    return {"from": f"pp/{old}", "to": f"pp/{new}", "kg": draw.choice([0, 0.3, 1.2])}


def _add_acetal(draw: Draw, data: Json) -> None:
    """Turn one single-barrel tool to POM and forbid it to meet PP where another press can take it."""
    alone = [t for t, tool in data["tools"].items() if len(data["parts"][next(iter(tool["cavities"]))]["barrels"]) == 1]
    if not alone or len(data["tools"]) < 2:
        return
    data["resins"]["pom"] = {"family": "POM", "price_per_kg": 3, "stock_kg": 500, "natural_colour": "clear"}
    data["resins"]["pe"] = {"family": "PE-LD", "price_per_kg": 1.4, "lead_days": 0, "natural_colour": "clear"}
    for part in data["tools"][draw.choice(alone)]["cavities"]:
        data["parts"][part]["barrels"][0]["resin"] = "pom"
    if draw.random() < 0.5:
        data["forbidden_pairs"] = [{"one": "pom", "other": "pp", "why": "kept apart in this workshop"}]


def _begin(draw: Draw, data: Json) -> None:
    """Mount a tool at the start, and sometimes pin its first run."""
    tool = draw.choice(list(data["tools"]))
    press = draw.choice(data["tools"][tool]["presses"])
    data["presses"][press]["tool"] = tool
    part = next(iter(data["tools"][tool]["cavities"]))
    for product in data["products"].values():
        if part in product["parts"] and draw.random() < 0.7:
            way = draw.choice(list(product["colourways"].values()))
            data["presses"][press]["begins_with"] = [{"tool": tool, "colours": way[part]}]

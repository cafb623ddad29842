"""Random campaigns of a stated size: run demands, presses, pack groups. Invented data with a fixed seed.

Runs take a few hours each, parts of a product share colourways, presses work weekday shifts, benches are as strong as
the presses need, and promised dates lie around the day on which the presses could be done.
"""

import random
from collections import Counter
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from typing import Any

Draw = random.Random
Json = dict[str, Any]

FIRST_DAY = date(2027, 3, 1)
BODY = {
    "white": "#f2f1ec", "cream": "#efe6cf", "sage": "#8fa58a", "brick": "#b5623f", "slate": "#5b6670",
    "ink": "#232a3f", "mustard": "#d3a536", "rose": "#d98c93",
}  # fmt: skip
RIM = {"charcoal": "#3a3b3d", "fog": "#c9cdcf"}


@dataclass(frozen=True)
class Size:
    """runs: run demands. groups: pack groups, each one pack batch. run_hours: press hours of an ordinary run."""

    runs: int
    presses: int
    tools: int
    products: int
    colourways: int
    groups: int
    run_hours: float


SIZES = {
    "XS": Size(10, 2, 3, 1, 4, 20, 5),
    "S": Size(25, 3, 6, 2, 5, 60, 6),
    "M": Size(70, 5, 14, 3, 6, 200, 7),
    "L": Size(200, 10, 36, 6, 7, 800, 8),
    "XL": Size(500, 16, 84, 12, 8, 2000, 8),
}


def document(size: Size, draw: Draw) -> Json:
    """A campaign document of that size."""
    days = size.runs * size.run_hours / size.presses / 14.5 * 7 / 5
    units = {f"product{n + 1}": round(2500 * draw.lognormvariate(0, 0.4)) for n in range(size.products)}
    presses = _presses(size, draw)
    tools, parts, colours_of = _tools(size, draw, presses, units, days)
    products = {
        name: {
            "parts": {part: 1 for tool in mine for part in tools[tool]["cavities"]},
            "assembly_minutes": draw.choice([0.5, 1, 2]),
            "colourways": {
                f"way{w + 1}": {
                    part: colours_of[tool][w % len(colours_of[tool])]
                    for tool in mine
                    for part in tools[tool]["cavities"]
                }
                for w in range(size.colourways)
            },
        }
        for n, name in enumerate(units)
        for mine in [list(tools)[n :: size.products]]
    }
    tiers = _tiers(draw, list(units), days)
    orders = _orders(size, draw, tiers, units)
    hours = sum(
        line["count"] * len(ways) * tool["cycle_s"] / 0.9 / 3600 / next(iter(tool["cavities"].values()))
        for line in orders
        for product, ways in line["units"].items()
        for tool in list(tools.values())[list(units).index(product) :: size.products]
    )
    for line in orders:
        line["count"] = max(1, round(line["count"] * size.runs * size.run_hours / hours))
    minutes: Counter[str] = Counter()
    for line in orders:
        minutes["packing"] += line["count"] * tiers[line["tier"]]["pack_minutes"]
        for product, ways in line["units"].items():
            minutes["assembly"] += line["count"] * len(ways) * products[product]["assembly_minutes"]
    return {
        "name": f"{size.runs} runs on {size.presses} presses",
        "start": f"{FIRST_DAY.isoformat()}T06:00",
        "presses": presses,
        "tools": tools,
        "resins": {
            "pp": {"family": "PP", "price_per_kg": 1.65, "stock_kg": 1e6},
            "abs": {"family": "ABS", "price_per_kg": 2.4, "stock_kg": 1e6, "drying_hours": 3},
            "tpe": {"family": "TPE", "price_per_kg": 4.2, "stock_kg": 1e6},
        },
        "colours": {name: _masterbatch(draw, look) for name, look in (BODY | RIM).items()},
        "parts": parts,
        "products": products,
        "tiers": tiers,
        "orders": orders,
        "regions": {"home": ["GB"], "europe": ["DE", "FR", "NL"], "america": ["CA", "US"]},
        "floor": {"setters": max(1, size.presses // 3), "setter_rate_per_hour": 32, "disposal_per_kg": 0.35},
        "assembly": _bench(minutes["assembly"], days),
        "packing": _bench(minutes["packing"], days) | {"batch_parcels": 100_000},
        "pick_ups": {"days": ["tue", "thu", "fri"], "time": "16:00"},
    }


def _masterbatch(draw: Draw, look: str) -> Json:
    late = draw.random() < 0.15
    had = {"stock_kg": 0, "lead_days": draw.randint(1, 4)} if late else {"stock_kg": 1e4}
    return {"hex": look, "price_per_kg": draw.uniform(9, 14), "strength": draw.choice([0.7, 1, 1.5])} | had


def _bench(minutes: float, days: float) -> Json:
    """People enough to do the work in seven tenths of the days, eight hours on each weekday."""
    return {
        "hours": {"mon-fri": "08:00-16:00"},
        "people": max(1, round(minutes / 60 / (days * 0.7 * 5 / 7 * 8) + 0.5)),
        "rate_per_hour": 14,
    }


def _presses(size: Size, draw: Draw) -> Json:
    presses = {}
    for n in range(size.presses):
        two = n < -(-size.presses // 3)
        holdup = draw.uniform(0.25, 0.9)
        barrels = [{"holdup_kg": round(holdup, 2), "shot_max_g": 1000, "clean": True}]
        if two:
            barrels.append({"holdup_kg": round(holdup / 3, 2), "shot_max_g": 300, "clean": True})
        clamp = draw.choice([1600, 2200, 3000] if two else [800, 1200, 1600, 2200])
        presses[f"press{n + 1:02d}"] = {
            "barrels": barrels,
            "clamp_kn": clamp,
            "hours": {"mon-fri": draw.choice(["06:00-22:00", "06:00-22:00", "00:00-24:00", "07:00-19:00"])},
            "rate_per_hour": round(15 + clamp / 60),
            "restart_minutes": draw.choice([10, 20, 30]),
        }
    return presses


def _tools(
    size: Size, draw: Draw, presses: Json, units: dict[str, int], days: float
) -> tuple[Json, Json, dict[str, list[list[str]]]]:
    """(tools, parts, the colours in which each tool runs)"""
    tools: Json = {}
    parts: Json = {}
    colours_of = {}
    names = list(units)
    load: Counter[str] = Counter(dict.fromkeys(presses, 0))
    for n, runs in enumerate(_runs_of_tools(size, draw)):
        two = draw.random() < 0.15
        able = [p for p in presses if len(presses[p]["barrels"]) >= (2 if two else 1)]
        home = min(able, key=lambda p: (load[p], p))
        load[home] += runs
        clamp = round(presses[home]["clamp_kn"] * draw.uniform(0.5, 0.95))
        others = [p for p in able if p != home and presses[p]["clamp_kn"] >= clamp]
        cycle = round(draw.uniform(18, 55), 1)
        wanted = units[names[n % size.products]] / runs * cycle / 0.9 / 3600 / (size.run_hours * draw.uniform(0.6, 1.7))
        cavities = min((1, 2, 4, 8, 16), key=lambda c: abs(c - wanted))
        made = [f"part{n + 1:02d}{letter}" for letter in "abc"[: draw.choice([1, 1, 1, 1, 2, 3])]]
        resin = draw.choice(["pp", "pp", "abs"])
        for part in made:
            barrels = [{"resin": resin, "mass_g": round(draw.uniform(40, 160) / cavities / len(made), 1)}]
            parts[part] = {"barrels": barrels, "rest_hours": draw.choice([0, 0, 4, 12])}
            if two:
                barrels.append({"resin": "tpe", "mass_g": round(draw.uniform(10, 30) / cavities / len(made), 1)})
        tool = {
            "cavities": dict.fromkeys(made, cavities),
            "runner_g": [draw.choice([0, 3, 6])] * (2 if two else 1),
            "hot_runner_kg": [0.1] if draw.random() < 0.25 else [],
            "hot_runner_clean": True,
            "cycle_s": cycle,
            "scrap_share": draw.choice([0.01, 0.02, 0.04]),
            "clamp_kn": clamp,
            "mount_minutes": draw.choice([30, 60, 90]),
            "startup_shots": draw.choice([8, 12, 20]),
            "presses": sorted([home, *draw.sample(others, min(len(others), draw.randint(0, 2)))]),
        }
        if draw.random() < 0.2:
            ready = FIRST_DAY + timedelta(days=draw.randint(1, max(1, round(days * 0.3))))
            tool["ready"] = ready.isoformat()
        if draw.random() < 0.3:
            tool["smallest_lot_shots"] = 200
        name = f"tool{n + 1:02d}"
        tools[name] = tool
        body = draw.sample(list(BODY), runs)
        colours_of[name] = [[c, list(RIM)[k % 2]] if two else [c] for k, c in enumerate(body)]
    return tools, parts, colours_of


def _runs_of_tools(size: Size, draw: Draw) -> list[int]:
    """Colours per tool, adding up to the run demands wanted."""
    runs = [draw.randint(2, size.colourways) for _ in range(size.tools)]
    while sum(runs) != size.runs:
        n = draw.randrange(size.tools)
        step = 1 if sum(runs) < size.runs else -1
        if 1 <= runs[n] + step <= size.colourways:
            runs[n] += step
    return runs


def _tiers(draw: Draw, products: list[str], days: float) -> Json:
    tiers: Json = {}
    for product in products:
        tiers[f"{product}-single"] = {"units": {product: 1}}
        tiers[f"{product}-pair"] = {"units": {product: 2}}
        tiers[f"{product}-trio"] = {"units": {product: 3}}
    for one, other in pairwise(products):
        tiers[f"{one}-{other}"] = {"units": {one: 1, other: 1}}
    for tier in tiers.values():
        day = FIRST_DAY + timedelta(days=round(3 + days * draw.uniform(0.7, 1.2)))
        tier |= {
            "pack_minutes": draw.choice([1.5, 3]),
            "promised": day.isoformat(),
            "late_cost_per_day": draw.choice([0.1, 0.25, 0.5]),
            "priority": draw.randint(1, 9),
        }
    return tiers


def _orders(size: Size, draw: Draw, tiers: Json, units: dict[str, int]) -> list[Json]:
    """As many pack groups as wanted, every colourway of every product among them, sized to the units wanted."""
    groups: dict[str, Json] = {}
    ways = [f"way{w + 1}" for w in range(size.colourways)]
    for product in units:
        for way in ways:
            _add(groups, f"{product}-single", {product: [way]}, "GB")
    while len(groups) < size.groups:
        tier = draw.choice(list(tiers))
        chosen = {p: sorted(draw.choices(ways, k=k)) for p, k in tiers[tier]["units"].items()}
        _add(groups, tier, chosen, draw.choice(["GB", "DE", "US", "AU"]))
    weight = {key: draw.lognormvariate(0, 0.8) for key in groups}
    held = sum(weight[key] * sum(len(w) for w in line["units"].values()) for key, line in groups.items())
    scale = sum(units.values()) / held
    return [line | {"count": max(1, round(weight[key] * scale))} for key, line in groups.items()]


def _add(groups: dict[str, Json], tier: str, units: Json, country: str) -> None:
    groups.setdefault(f"{tier} {units} {country}", {"tier": tier, "units": units, "country": country})

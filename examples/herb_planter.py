"""Writes herb-planter.json: an invented campaign, a self-watering herb planter sold in four tiers and six colourways.

    python examples/herb_planter.py

Everything in it is made up, with masses, cycles and prices of a sensible size. The order book is drawn with a fixed
seed, so the file comes out the same each time.
"""

import json
import random
from pathlib import Path
from typing import Any

SEED = 20270111
LINES = 3200
TARGET = Path(__file__).with_name("herb-planter.json")

COLOURWAYS = {
    # colourway: (body and tray, rim, reservoir, small parts, marker), share of choices
    "sage": (("sage", "charcoal", "smoke", "cream", "charcoal"), 28),
    "terracotta": (("terracotta", "cream", "smoke", "cream", "charcoal"), 20),
    "slate": (("slate", "charcoal", "smoke", "charcoal", "cream"), 18),
    "cream": (("cream", "cream", "natural", "cream", "charcoal"), 14),
    "ink": (("ink", "charcoal", "natural", "charcoal", "cream"), 12),
    "mustard": (("mustard", "charcoal", "natural", "charcoal", "cream"), 8),
}
PAIRS = [("sage", "terracotta"), ("sage", "cream"), ("slate", "ink"), ("terracotta", "mustard")]
TRIOS = [
    ("sage", "terracotta", "cream"),
    ("slate", "ink", "mustard"),
    ("sage", "slate", "cream"),
    ("sage", "sage", "sage"),
    ("terracotta", "terracotta", "terracotta"),
]
WINDOWSILLS = [
    ("sage", "terracotta", "slate", "cream", "ink"),
    ("sage", "sage", "terracotta", "cream", "mustard"),
    ("slate", "slate", "ink", "ink", "mustard"),
]
COUNTRIES = {
    "GB": 44, "DE": 10, "FR": 7, "NL": 6, "IE": 5, "SE": 3, "ES": 3, "IT": 3, "BE": 2, "DK": 2,
    "US": 10, "CA": 3, "AU": 1, "JP": 1,
}  # fmt: skip


def products() -> dict[str, Any]:
    """The planter, with the colours of every part in every colourway."""
    colourways = {
        name: {
            "shell": [body, rim],
            "tray": [body],
            "reservoir": [water],
            "wick-cup": [small],
            "float": [small],
            "plug": [small],
            "marker": [marker],
            "valve": ["natural"],
        }
        for name, ((body, rim, water, small, marker), _) in COLOURWAYS.items()
    }
    return {
        "planter": {
            "parts": {
                "shell": 1,
                "tray": 1,
                "reservoir": 1,
                "wick-cup": 1,
                "float": 1,
                "plug": 1,
                "marker": 1,
                "valve": 1,
            },
            "pieces": {"wick": 2},
            "packed_mm": [180, 140, 130],
            "stands": True,
            "declared": {"value": 21, "hs_code": "392490", "origin": "GB", "description": "Plastic plant pot"},
            "assembly_minutes": 1.4,
            "colourways": colourways,
        }
    }


def orders() -> list[dict[str, Any]]:
    """The order book: tiers, colours, countries, a few add-ons."""
    draw = random.Random(SEED)
    names = list(COLOURWAYS)
    liked = [share for _, share in COLOURWAYS.values()]
    lines = []
    for number in range(1, LINES + 1):
        tier = draw.choices(["single", "pair", "trio", "windowsill"], [48, 27, 18, 7])[0]
        country = draw.choices(list(COUNTRIES), list(COUNTRIES.values()))[0]
        one = draw.choices(names, liked)[0]
        if tier == "single":
            chosen = [one]
        elif tier == "pair":
            chosen = [one, one] if draw.random() < 0.5 else list(draw.choices(PAIRS, [5, 3, 2, 2])[0])
        elif tier == "trio":
            chosen = list(draw.choices(TRIOS, [6, 3, 4, 3, 2])[0])
        else:
            chosen = list(draw.choices(WINDOWSILLS, [5, 3, 2])[0])
        line: dict[str, Any] = {"ref": f"H{number:05d}", "tier": tier, "units": {"planter": chosen}}
        if country == "GB" and tier == "single" and draw.random() < 0.02:
            line["extra_units"] = {"planter": ["sage"]}
        if country == "GB" and tier in ("single", "pair") and draw.random() < 0.05:
            line["extra_pieces"] = {"spare-wicks": 1}
        lines.append(line | {"country": country, "count": draw.choices([1, 2, 3], [62, 26, 12])[0]})
    return lines


def campaign() -> dict[str, Any]:
    """The whole document."""
    return {
        "document": "campaign/1",
        "name": "Self-watering herb planter (invented demo)",
        "currency": "GBP",
        "time_zone": "Europe/London",
        "start": "2027-01-11T06:00",
        "confidence": 0.95,
        "closed_days": ["2027-03-26", "2027-03-29"],
        "presses": {
            "twin": {
                "barrels": [
                    {"holdup_kg": 0.85, "shot_min_g": 40, "shot_max_g": 420, "holds": "pp/cream"},
                    {"holdup_kg": 0.22, "shot_min_g": 6, "shot_max_g": 110, "holds": "tpe/cream"},
                ],
                "clamp_kn": 1600,
                "hours": {"mon-fri": "06:00-22:00"},
                "rate_per_hour": 48,
                "efficiency": 0.9,
                "restart_minutes": 25,
                "tool": "shell",
            },
            "middle": {
                "barrels": [{"holdup_kg": 0.7, "shot_min_g": 30, "shot_max_g": 330, "holds": "pp/natural"}],
                "clamp_kn": 1200,
                "hours": {"mon-fri": "06:00-22:00", "sat": "06:00-12:00"},
                "on_dates": {"2027-01-20": "13:00-22:00"},
                "rate_per_hour": 36,
                "efficiency": 0.9,
                "restart_minutes": 20,
                "tool": "reservoir",
            },
            "small": {
                "barrels": [{"holdup_kg": 0.28, "shot_min_g": 8, "shot_max_g": 95, "clean": True}],
                "clamp_kn": 600,
                "hours": {"mon-thu": "07:00-16:30", "fri": "07:00-14:00"},
                "rate_per_hour": 24,
                "efficiency": 0.88,
                "restart_minutes": 15,
            },
        },
        "tools": {
            "shell": {
                "cavities": {"shell": 2},
                "runner_g": [0, 3.5],
                "hot_runner_kg": [0.14, 0],
                "hot_runner_holds": ["pp/cream"],
                "cycle_s": 44,
                "purge_cycle_s": 20,
                "scrap_share": 0.03,
                "clamp_kn": 1080,
                "mount_minutes": 90,
                "startup_shots": 15,
                "presses": ["twin"],
                "smallest_lot_shots": 250,
            },
            "reservoir": {
                "cavities": {"reservoir": 2},
                "runner_g": [0],
                "hot_runner_kg": [0.1],
                "hot_runner_holds": ["pp/natural"],
                "cycle_s": 34,
                "purge_cycle_s": 18,
                "scrap_share": 0.02,
                "clamp_kn": 780,
                "mount_minutes": 60,
                "startup_shots": 12,
                "presses": ["middle", "twin"],
                "smallest_lot_shots": 400,
            },
            "tray": {
                "cavities": {"tray": 2},
                "runner_g": [5.2],
                "cycle_s": 26,
                "purge_cycle_s": 15,
                "scrap_share": 0.015,
                "clamp_kn": 900,
                "mount_minutes": 50,
                "startup_shots": 10,
                "presses": ["middle", "twin"],
                "smallest_lot_shots": 200,
            },
            "small-parts": {
                "cavities": {"wick-cup": 4, "float": 4, "plug": 4},
                "runner_g": [6.4],
                "cycle_s": 24,
                "purge_cycle_s": 12,
                "scrap_share": 0.025,
                "clamp_kn": 420,
                "mount_minutes": 45,
                "startup_shots": 12,
                "presses": ["small", "middle"],
                "ready": "2027-01-12",
            },
            "marker": {
                "cavities": {"marker": 8},
                "blocked_cavities": {"marker": 1},
                "runner_g": [4.0],
                "cycle_s": 22,
                "purge_cycle_s": 12,
                "scrap_share": 0.02,
                "clamp_kn": 300,
                "mount_minutes": 40,
                "startup_shots": 10,
                "presses": ["small"],
            },
            "valve": {
                "cavities": {"valve": 8},
                "runner_g": [3.2],
                "cycle_s": 21,
                "purge_cycle_s": 12,
                "scrap_share": 0.02,
                "clamp_kn": 180,
                "mount_minutes": 40,
                "startup_shots": 15,
                "presses": ["small"],
                "ready": "2027-01-13T12:00",
            },
        },
        "resins": {
            "pp": {
                "family": "PP",
                "price_per_kg": 1.65,
                "stock_kg": 600,
                "arrivals": [{"on": "2027-01-13T09:00", "amount": 500}],
                "lead_days": 5,
                "min_order_kg": 100,
                "regrind_share": 0.15,
                "natural_colour": "natural",
            },
            "tpe": {
                "family": "TPE",
                "price_per_kg": 4.3,
                "stock_kg": 80,
                "lead_days": 4,
                "drying_hours": 3,
                "drying_c": 80,
                "dryer": "hopper-a",
                "dryer_kg": 40,
                "stands_cold": True,
            },
            "abs": {
                "family": "ABS",
                "price_per_kg": 2.45,
                "stock_kg": 25,
                "lead_days": 5,
                "drying_hours": 3,
                "drying_c": 85,
                "dryer": "hopper-b",
                "dryer_kg": 15,
                "stands_cold": True,
                "regrind_share": 0.1,
            },
            "pom": {
                "family": "POM",
                "price_per_kg": 2.9,
                "stock_kg": 25,
                "lead_days": 6,
                "natural_colour": "natural",
            },
        },
        "colours": {
            "sage": {"hex": "#8fa58a", "price_per_kg": 11.5, "stock_kg": 10, "lead_days": 7, "let_down_percent": 2.5},
            "terracotta": {
                "hex": "#b5623f",
                "price_per_kg": 12.8,
                "stock_kg": 10,
                "lead_days": 7,
                "let_down_percent": 2.5,
                "strength": 1.3,
            },
            "slate": {
                "hex": "#5b6670",
                "price_per_kg": 10.9,
                "stock_kg": 5,
                "lead_days": 7,
                "let_down_percent": 2,
                "strength": 1.4,
            },
            "cream": {"hex": "#efe6cf", "price_per_kg": 9.8, "stock_kg": 15, "lead_days": 7, "let_down_percent": 3},
            "ink": {
                "hex": "#232a3f",
                "price_per_kg": 13.4,
                "stock_kg": 5,
                "lead_days": 7,
                "let_down_percent": 2,
                "strength": 2,
            },
            "mustard": {
                "hex": "#d3a536",
                "price_per_kg": 14.2,
                "stock_kg": 5,
                "lead_days": 9,
                "let_down_percent": 3,
            },
            "charcoal": {
                "hex": "#3a3b3d",
                "price_per_kg": 8.9,
                "stock_kg": 5,
                "lead_days": 6,
                "let_down_percent": 2,
                "strength": 1.8,
            },
            "smoke": {
                "hex": "#a9aeb0",
                "finish": "translucent",
                "price_per_kg": 15.6,
                "stock_kg": 5,
                "lead_days": 8,
                "let_down_percent": 1,
                "strength": 0.8,
            },
            "natural": {"hex": "#ecebe6", "finish": "natural", "let_down_percent": 0, "strength": 0.2},
        },
        "parts": {
            "shell": {
                "barrels": [{"resin": "pp", "mass_g": 62}, {"resin": "tpe", "mass_g": 9}],
                "rest_hours": 12,
                "spare_share": 0.01,
                "stock": [
                    {"colours": ["sage", "charcoal"], "count": 36},
                    {"colours": ["ink", "charcoal"], "count": 20},
                ],
                "inspection": {
                    "defects": {
                        "unusable": {"aql": 0.4},
                        "rim-lifts": {"aql": 1.0},
                        "looks": {"aql": 2.5, "level": "I"},
                    },
                    "minutes": 0.6,
                    "off_minutes": 6,
                    "off_pieces": 2,
                },
            },
            "tray": {
                "barrels": [{"resin": "pp", "mass_g": 38}],
                "rest_hours": 4,
                "spare_share": 0.01,
                "inspection": {"defects": {"looks": {"aql": 2.5}}, "minutes": 0.2},
            },
            "reservoir": {
                "barrels": [{"resin": "pp", "mass_g": 44}],
                "surface": "hidden",
                "rest_hours": 8,
                "spare_share": 0.01,
                "inspection": {"defects": {"leaks": {"aql": 0.65}}, "minutes": 0.5},
            },
            "wick-cup": {"barrels": [{"resin": "pp", "mass_g": 5.8}], "spare_share": 0.01},
            "float": {"barrels": [{"resin": "pp", "mass_g": 1.9}], "spare_share": 0.01},
            "plug": {
                "barrels": [{"resin": "pp", "mass_g": 3.1}],
                "surface": "hidden",
                "spare_share": 0.02,
                "stock": [{"colours": ["charcoal"], "count": 250}],
            },
            "marker": {"barrels": [{"resin": "abs", "mass_g": 3.4}], "spare_share": 0.02},
            "valve": {
                "barrels": [{"resin": "pom", "mass_g": 1.6}],
                "surface": "hidden",
                "spare_share": 0.02,
                "test_pieces": 13,
                "inspection": {
                    "defects": {"bursts": {"aql": 1.0, "level": "S2"}},
                    "minutes": 1.5,
                    "destructive": True,
                },
            },
        },
        "pieces": {
            "wick": {
                "price": 0.06,
                "mass_g": 1.5,
                "stock": 4000,
                "arrivals": [{"on": "2027-01-19T10:00", "amount": 20000}],
                "lead_days": 10,
                "pack_of": 1000,
            },
            "leaflet": {"price": 0.09, "mass_g": 8, "arrivals": [{"on": "2027-01-15T11:00", "amount": 6000}]},
            "carton-1": {
                "price": 0.48,
                "stock": 1200,
                "lead_days": 5,
                "pack_of": 50,
                "min_order": 500,
                "carton": {"inside_mm": [190, 150, 140], "tare_g": 95, "max_kg": 15},
            },
            "carton-3": {
                "price": 0.74,
                "stock": 400,
                "lead_days": 5,
                "pack_of": 50,
                "min_order": 500,
                "carton": {"inside_mm": [430, 190, 165], "tare_g": 210, "max_kg": 15},
            },
            "carton-5": {
                "price": 1.15,
                "lead_days": 7,
                "pack_of": 25,
                "min_order": 250,
                "carton": {"inside_mm": [430, 190, 300], "tare_g": 320, "max_kg": 15},
            },
            "felt-sleeve": {
                "price": 1.9,
                "stock": 300,
                "arrivals": [
                    {"on": "2027-01-18T14:00", "amount": 2500},
                    {"on": "2027-01-20T14:00", "amount": 2500},
                ],
                "lead_days": 14,
                "pack_of": 100,
                "packed_mm": [180, 130, 6],
                "mass_g": 48,
                "declared": {"value": 4, "hs_code": "560229", "origin": "PT", "description": "Felt sleeve"},
            },
            "spare-wicks": {"price": 0.35, "mass_g": 12, "stock": 250, "lead_days": 10, "pack_of": 50},
        },
        "products": products(),
        "tiers": {
            "single": {
                "units": {"planter": 1},
                "pieces": {"leaflet": 1},
                "cartons": ["carton-1", "carton-3", "carton-5"],
                "pack_minutes": 1.8,
                "promised": "2027-01-26",
                "late_cost_per_day": 0.2,
                "priority": 5,
            },
            "pair": {
                "units": {"planter": 2},
                "pieces": {"leaflet": 1},
                "cartons": ["carton-1", "carton-3", "carton-5"],
                "pack_minutes": 2.2,
                "promised": "2027-01-26",
                "late_cost_per_day": 0.3,
                "priority": 4,
            },
            "trio": {
                "units": {"planter": 3},
                "pieces": {"leaflet": 1, "felt-sleeve": 3},
                "cartons": ["carton-3", "carton-5"],
                "pack_minutes": 3,
                "promised": "2027-01-22",
                "late_cost_per_day": 0.5,
                "priority": 2,
            },
            "windowsill": {
                "units": {"planter": 5},
                "pieces": {"leaflet": 1, "felt-sleeve": 5},
                "cartons": ["carton-3", "carton-5"],
                "pack_minutes": 4,
                "promised": "2027-01-22",
                "late_cost_per_day": 0.8,
                "priority": 1,
            },
        },
        "orders": orders(),
        "regions": {
            "home": ["GB"],
            "europe": ["BE", "DE", "DK", "ES", "FR", "IE", "IT", "NL", "SE"],
            "north-america": ["CA", "US"],
        },
        "floor": {
            "setters": 1,
            "setter_rate_per_hour": 32,
            "disposal_per_kg": 0.35,
            "attended": {"hours": {"mon-fri": "06:00-22:00", "sat": "06:00-12:00"}},
        },
        "assembly": {"hours": {"mon-fri": "08:00-12:00 x5, 12:30-16:30 x5"}, "people": 5, "rate_per_hour": 14.5},
        "packing": {
            "hours": {"mon-fri": "08:00-12:00 x4, 12:30-16:30 x4"},
            "people": 4,
            "rate_per_hour": 14,
            "batch_parcels": 100,
        },
        "pick_ups": {"days": ["tue", "fri"], "time": "16:00", "parcels": 2500},
        "carrier": {"volumetric_divisor": 5000, "step_kg": 0.5, "max_kg": 20, "girth_mm": 3000},
        "customs": {"ships_from": "GB", "sdr_rate": 1.05},
        "purging": {
            "given": [
                {"from": "pp/ink", "to": "pp/cream", "kg": 4.6, "press": "twin", "barrel": 1},
                {"from": "pp/cream", "to": "pp/ink", "kg": 1.3, "press": "twin", "barrel": 1},
                {"from": "tpe/charcoal", "to": "tpe/cream", "kg": 1.2},
                {"from": "pp/natural", "to": "pp/smoke", "kg": 0.9, "press": "middle", "barrel": 1},
            ],
            "log": [
                {
                    "press": "twin",
                    "barrel": 1,
                    "from": "pp/slate",
                    "to": "pp/sage",
                    "shots": 21,
                    "tool": "shell",
                    "on": "2026-11-17",
                },
                {
                    "press": "twin",
                    "barrel": 1,
                    "from": "pp/cream",
                    "to": "pp/terracotta",
                    "kg": 1.5,
                    "on": "2026-11-18",
                },
                {
                    "press": "middle",
                    "barrel": 1,
                    "from": "pp/terracotta",
                    "to": "pp/cream",
                    "kg": 3.4,
                    "on": "2026-11-24",
                },
            ],
            "compound": {
                "name": "scrub",
                "price_per_kg": 6.8,
                "holdups": 1,
                "rinse_holdups": 1.2,
                "soak_minutes": 5,
                "resins": ["pp", "tpe", "abs"],
                "stock_kg": 4,
                "lead_days": 6,
                "bag_kg": 5,
                "cautions": ["Fumes while it soaks: extraction on, keep the hopper lid shut."],
            },
        },
        "planning": {"seconds": 20, "seed": 1},
        "uncertainty": uncertainty(),
    }


def uncertainty() -> dict[str, Any]:
    """What is not sure: two tools that are not here yet, how well the presses run, scrap, two deliveries by sea."""

    def three(early: float, likely: float, late: float) -> dict[str, float]:
        return {"early": early, "likely": likely, "late": late}

    return {
        "tools": {
            "shell": {"cycle_share": three(0.97, 1, 1.12), "scrap_share": three(0.015, 0.03, 0.08)},
            "reservoir": {"scrap_share": three(0.01, 0.02, 0.05)},
            "small-parts": {
                "ready_days": three(-1, 0, 6),
                "first_trial": {"success_chance": 0.75, "rework_days": three(2, 4, 9)},
            },
            "valve": {
                "ready_days": three(0, 0, 8),
                "first_trial": {"success_chance": 0.7, "rework_days": three(3, 7, 12)},
            },
        },
        "efficiency_share": {"twin": three(0.88, 1, 1.04), "middle": three(0.9, 1, 1.03), "small": three(0.9, 1, 1.03)},
        "piece_days": {"felt-sleeve": three(-2, 0, 12), "leaflet": three(-1, 0, 4), "wick": three(-1, 0, 7)},
    }


def written(value: Any, indent: int = 0, width: int = 110) -> str:
    """JSON that people read: whatever fits on one line stays on one."""
    line = json.dumps(value, ensure_ascii=False)
    if len(line) + indent <= width or not isinstance(value, dict | list):
        return line
    pad = " " * (indent + 2)
    if isinstance(value, dict):
        inside = [f"{pad}{json.dumps(key)}: {written(item, indent + 2)}" for key, item in value.items()]
        return "{\n" + ",\n".join(inside) + "\n" + " " * indent + "}"
    inside = [pad + written(item, indent + 2, 200) for item in value]
    return "[\n" + ",\n".join(inside) + "\n" + " " * indent + "]"


if __name__ == "__main__":
    TARGET.write_text(written(campaign()) + "\n", encoding="utf-8")

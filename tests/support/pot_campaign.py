"""A small workshop: pots of one two-shot shell (PP with a TPE rim), one lid, two clips and a leaflet, in sage or white.

The lid and the clips come from a family tool. Two presses, one setter, 1000 parcels. Invented data.
"""

from typing import Any

from planner.campaign import Campaign

CAMPAIGN: dict[str, Any] = {
    "name": "Pots",
    "currency": "EUR",
    "time_zone": "Europe/London",
    "start": "2027-01-11T06:00",  # a Monday
    "scrap_taken": "known",
    "presses": {
        "one": {
            "barrels": [
                {"holdup_kg": 0.5, "plasticising_kg_h": 36.38, "shot_min_g": 5, "shot_max_g": 100, "holds": "pp/white"}
            ],
            "clamp_kn": 800,
            "hours": {"mon-fri": "06:00-14:00"},
            "rate_per_hour": 36,
            "efficiency": 0.9,
            "restart_minutes": 20,
        },
        "two": {
            "barrels": [
                {"holdup_kg": 0.6, "plasticising_kg_h": 31.985, "shot_max_g": 200, "clean": True},
                {"holdup_kg": 0.1, "shot_max_g": 50, "clean": True},
            ],
            "clamp_kn": 1200,
            "hours": {"mon-fri": "08:00-16:00"},
            "rate_per_hour": 72,
            "efficiency": 0.8,
            "restart_minutes": 15,
        },
    },
    "tools": {
        "small": {  # shot: lid 8 + clips 2 x 2 + runner 4 = 16 g; cycle 27 / .9 = 30 s; purge 18 / .9 = 20 s
            "cavities": {"lid": 1, "clip": 2},
            "runner_g": [4],
            "cycle_s": 27,
            "purge_cycle_s": 18,
            "scrap_share": 0.02,
            "clamp_kn": 500,
            "mount_minutes": 60,
            "startup_shots": 10,
            "presses": ["one"],
        },
        "shell": {  # shot: PP 30 + 5 = 35 g, TPE 6 + 2 = 8 g; cycle 40 / .8 = 50 s, purge the same
            "cavities": {"shell": 1},
            "runner_g": [5, 2],
            "hot_runner_kg": [0.05],
            "hot_runner_clean": True,
            "cycle_s": 40,
            "scrap_share": 0,
            "clamp_kn": 1000,
            "mount_minutes": 90,
            "startup_shots": 8,
            "presses": ["two"],
            "ready": "2027-01-11",
        },
    },
    "resins": {
        "pp": {
            "family": "PP",
            "price_per_kg": 1.6,
            "stock_kg": 50,
            "lead_days": 2,
            "bag_kg": 25,
            "min_order_kg": 25,
            "regrind_share": 0.1,
        },
        "tpe": {
            "family": "TPE",
            "price_per_kg": 3,
            "stock_kg": 12,
            "drying_hours": 3,
            "natural_colour": "clear",
        },
    },
    "colours": {
        "white": {
            "price_per_kg": 6,
            "stock_kg": 0.5,
            "arrivals": [{"on": "2027-01-12", "amount": 1}],
            "let_down_percent": 3,
            "hex": "#f2f0ea",
        },
        "sage": {"price_per_kg": 9, "stock_kg": 2, "let_down_percent": 2, "hex": "#8fae8b"},
        "clear": {},
    },
    "parts": {
        "shell": {"barrels": [{"resin": "pp", "mass_g": 30}, {"resin": "tpe", "mass_g": 6}], "rest_hours": 12},
        "lid": {"barrels": [{"resin": "pp", "mass_g": 8}], "stock": [{"colours": ["sage"], "count": 6}]},
        "clip": {"barrels": [{"resin": "pp", "mass_g": 2}], "spare_share": 0.05},
    },
    "pieces": {
        "leaflet": {"price": 0.1, "stock": 600, "lead_days": 3, "pack_of": 100, "min_order": 500},
        "carton": {"price": 0.8, "stock": 500, "arrivals": [{"on": "2027-01-14", "amount": 600}]},
    },
    "products": {
        "pot": {
            "parts": {"shell": 1, "lid": 1, "clip": 2},
            "pieces": {"leaflet": 1},
            "assembly_minutes": 1.5,
            "colourways": {
                "sage": {"shell": ["sage", "clear"], "lid": ["sage"], "clip": ["sage"]},
                "white": {"shell": ["white", "clear"], "lid": ["white"], "clip": ["white"]},
            },
        }
    },
    "tiers": {
        "one": {
            "units": {"pot": 1},
            "pieces": {"carton": 1},
            "pack_minutes": 3,
            "promised": "2027-01-15",
            "late_cost_per_day": 0.25,
        },
        "pair": {"units": {"pot": 2}, "pieces": {"carton": 1}, "pack_minutes": 4, "promised": "2027-01-22"},
    },
    "orders": [
        {"ref": "early birds", "tier": "one", "units": {"pot": ["sage"]}, "country": "GB", "count": 400},
        {"tier": "one", "units": {"pot": ["white"]}, "country": "FR", "count": 300},
        {"tier": "pair", "units": {"pot": ["sage", "white"]}, "country": "GB", "count": 200},
        {"tier": "one", "units": {"pot": ["sage"]}, "country": "GB", "count": 100},
    ],
    "regions": {"eu": ["FR", "DE"]},
    "floor": {"setters": 1, "setter_rate_per_hour": 30, "disposal_per_kg": 0.2},
    "assembly": {"hours": {"mon-fri": "08:00-16:00"}, "people": 2, "rate_per_hour": 18},
    "packing": {
        "hours": {"mon-fri": "08:00-12:00 x2, 13:00-16:00"},
        "rate_per_hour": 15,
        "batch_parcels": 250,
    },
    "pick_ups": {"days": ["fri"], "time": "16:00", "parcels": 600},
    # The tolerance at which white after sage takes 4 hold-ups: 4 x 0.6 = 2.4 kg, and 0.2 kg in the hot runner.
    "purging": {"given": [{"from": "pp/white", "to": "pp/sage", "kg": 1.25}], "visible_tolerance": 2.56856}
    # Small old presses, purged slowly: PP (0.74 g/cm3 against polystyrene's 0.945) at a tenth of what they melt.
    | {"air_shot_share": 0.1},
}


def pot_campaign() -> Campaign:
    """The workshop's campaign."""
    return Campaign.model_validate(CAMPAIGN)

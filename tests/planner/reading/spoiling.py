"""A small sound campaign to spoil, and what reading it then says."""

import copy
from typing import Any

from planner.errors import CampaignProblems, Problem
from planner.reading import read

SMALL: dict[str, Any] = {
    "name": "two planters",
    "start": "2027-01-11T06:00",
    "presses": {
        "twin": {
            "barrels": [
                {"holdup_kg": 0.8, "shot_min_g": 20, "shot_max_g": 300, "holds": "pp/cream"},
                {"holdup_kg": 0.2, "shot_max_g": 60, "clean": True},
            ],
            "clamp_kn": 1500,
            "tool": "shell",
        },
        "solo": {"barrels": [{"holdup_kg": 0.3, "shot_min_g": 4, "shot_max_g": 120, "clean": True}], "clamp_kn": 600},
    },
    "tools": {
        "shell": {
            "cavities": {"shell": 2},
            "hot_runner_kg": [0.1, 0],
            "hot_runner_clean": True,
            "cycle_s": 40,
            "clamp_kn": 1000,
            "presses": ["twin"],
        },
        "bits": {"cavities": {"cup": 4, "plug": 2}, "runner_g": [3], "cycle_s": 22, "presses": ["solo", "twin"]},
    },
    "resins": {
        "pp": {"family": "PP", "lead_days": 5, "natural_colour": "clear"},
        "tpe": {"family": "TPE", "stock_kg": 40, "drying_hours": 3, "dryer": "d1"},
    },
    "colours": {
        "cream": {"hex": "#efe6cf", "lead_days": 4},
        "slate": {"hex": "#5b6670", "stock_kg": 20},
        "clear": {"hex": "#f0f0ee", "let_down_percent": 0},
    },
    "parts": {
        "shell": {"barrels": [{"resin": "pp", "mass_g": 60}, {"resin": "tpe", "mass_g": 8}]},
        "cup": {"barrels": [{"resin": "pp", "mass_g": 5}], "stock": [{"colours": ["slate"], "count": 10}]},
        "plug": {"barrels": [{"resin": "pp", "mass_g": 2}], "surface": "hidden"},
    },
    "pieces": {"leaflet": {"stock": 500}, "wick": {"lead_days": 3, "pack_of": 100}},
    "products": {
        "planter": {
            "parts": {"shell": 1, "cup": 2, "plug": 1},
            "pieces": {"wick": 2},
            "assembly_minutes": 1,
            "colourways": {
                "cream": {"shell": ["cream", "slate"], "cup": ["cream"], "plug": ["clear"]},
                "slate": {"shell": ["slate", "slate"], "cup": ["slate"], "plug": ["clear"]},
            },
        }
    },
    "tiers": {
        "single": {"units": {"planter": 1}, "pieces": {"leaflet": 1}, "promised": "2027-02-12"},
        "pair": {"units": {"planter": 2}, "pieces": {"leaflet": 1}},
    },
    "orders": [
        {"ref": "o1", "tier": "single", "units": {"planter": ["cream"]}, "count": 60},
        {"ref": "o2", "tier": "pair", "units": {"planter": ["cream", "slate"]}, "country": "FR", "count": 40},
        {"tier": "single", "units": {"planter": ["slate"]}, "extra_units": {"planter": ["slate"]}, "count": 5},
    ],
    "regions": {"home": ["GB"], "europe": ["FR", "DE"]},
    "purging": {
        "given": [{"from": "pp/slate", "to": "pp/cream", "kg": 3.1, "press": "twin", "barrel": 1}],
        "log": [{"press": "solo", "from": "pp/slate", "to": "pp/cream", "shots": 30, "tool": "bits"}],
    },
}


def spoilt(changes: dict[str, Any]) -> dict[str, Any]:
    """The small campaign with fields set, each named by its path, e.g. {"tools shell cycle_s": 0}."""
    data = copy.deepcopy(SMALL)
    for path, value in changes.items():
        *steps, last = (int(step) if step.isdigit() else step for step in path.split())
        here: Any = data
        for step in steps:
            here = here[step]
        if value is REMOVED:
            del here[last]
        elif isinstance(here, list) and last == len(here):
            here.append(value)
        else:
            here[last] = value
    return data


REMOVED = object()
"""As a value in `spoilt`: take the field out."""


def problems(changes: dict[str, Any]) -> list[Problem]:
    """What reading the spoilt campaign finds; empty when it is accepted."""
    try:
        read(spoilt(changes))
    except CampaignProblems as found:
        return found.problems
    return []

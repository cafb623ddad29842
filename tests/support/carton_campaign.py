"""A small campaign whose parcels go into cartons: two tiers, two cartons, an add-on that needs the larger one."""

import copy
from typing import Any

from planner.campaign import Campaign
from planner.reading import read

DOCUMENT: dict[str, Any] = {
    "name": "bowls",
    "start": "2027-01-11T06:00",
    "presses": {"solo": {"barrels": [{"holdup_kg": 0.3, "shot_max_g": 900, "clean": True}], "clamp_kn": 800}},
    "tools": {"bowl": {"cavities": {"bowl": 2}, "cycle_s": 30, "presses": ["solo"], "mount_minutes": 30}},
    "resins": {"pp": {"family": "PP", "stock_kg": 900}},
    "colours": {"cream": {"hex": "#efe6cf", "stock_kg": 90}, "slate": {"hex": "#5b6670", "stock_kg": 90}},
    "parts": {
        "bowl": {
            "barrels": [{"resin": "pp", "mass_g": 250}],
            "inspection": {"defects": {"looks": {"aql": 1.0}}, "minutes": 0.5, "lot_minutes": 4, "off_minutes": 3},
        }
    },
    "pieces": {
        "leaflet": {"stock": 1000, "mass_g": 5},
        "lid": {"stock": 1000, "mass_g": 40, "packed_mm": [200, 200, 10], "declared": {"value": 3}},
        "small-box": {"price": 0.4, "stock": 1000, "carton": {"inside_mm": [210, 210, 130], "tare_g": 100}},
        "big-box": {"price": 0.9, "stock": 1000, "carton": {"inside_mm": [410, 210, 140], "tare_g": 180}},
    },
    "products": {
        "bowl": {
            "parts": {"bowl": 1},
            "packed_mm": [200, 200, 120],
            "stands": True,
            "declared": {"value": 12.5, "hs_code": "392410", "origin": "GB"},
            "colourways": {"cream": {"bowl": ["cream"]}, "slate": {"bowl": ["slate"]}},
        }
    },
    "tiers": {
        "one": {"units": {"bowl": 1}, "pieces": {"leaflet": 1}, "cartons": ["big-box", "small-box"]},
        "two": {"units": {"bowl": 2}, "pieces": {"leaflet": 1}, "cartons": ["big-box", "small-box"]},
    },
    "orders": [
        {"ref": "a", "tier": "one", "units": {"bowl": ["cream"]}, "count": 90},
        {"ref": "b", "tier": "one", "units": {"bowl": ["slate"]}, "country": "US", "count": 40},
        {"ref": "c", "tier": "one", "units": {"bowl": ["slate"]}, "extra_units": {"bowl": ["cream"]}, "country": "DE"},
        {"ref": "d", "tier": "one", "units": {"bowl": ["slate"]}, "extra_pieces": {"lid": 1}, "country": "DE"},
        {"ref": "e", "tier": "two", "units": {"bowl": ["cream", "slate"]}, "country": "US", "count": 20},
    ],
    "regions": {"home": ["GB"], "far": ["US"]},
    "carrier": {"volumetric_divisor": 5000, "step_kg": 0.5, "max_kg": 20},
    "customs": {"ships_from": "GB", "sdr_rate": 1.05},
    "planning": {"rounds": 0},
}


def document(**changes: Any) -> dict[str, Any]:
    """The document with values put at `a__b__c` paths."""
    made = copy.deepcopy(DOCUMENT)
    for path, value in changes.items():
        *steps, last = path.split("__")
        at = made
        for step in steps:
            at = at[step.replace("_", "-") if step.replace("_", "-") in at else step]
        at[last] = value
    return made


def campaign(**changes: Any) -> Campaign:
    """The campaign, read and checked."""
    return read(document(**changes))

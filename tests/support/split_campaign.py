"""A set of a bowl and a cup whose cup tool comes weeks later: what split shipment is for."""

from typing import Any

from planner.campaign import Campaign
from planner.reading import read
from tests.support.carton_campaign import document as bowls


def document(ship: str | None = "in parts", **split: Any) -> dict[str, Any]:
    """The campaign's document. ship: none leaves split shipment out; split: further fields of it."""
    made = bowls()
    made["name"] = "sets"
    made["tools"]["cup"] = {
        "cavities": {"cup": 2}, "cycle_s": 30, "presses": ["solo"], "mount_minutes": 30, "ready": "2027-02-15",
    }  # fmt: skip
    made["parts"]["cup"] = {"barrels": [{"resin": "pp", "mass_g": 120}]}
    made["products"]["cup"] = {
        "parts": {"cup": 1},
        "packed_mm": [90, 90, 100],
        "declared": {"value": 6, "hs_code": "392410", "origin": "GB"},
        "colourways": {"cream": {"cup": ["cream"]}, "slate": {"cup": ["slate"]}},
    }
    made["tiers"] = {
        "set": {
            "units": {"bowl": 1, "cup": 2},
            "pieces": {"leaflet": 1},
            "cartons": ["big-box", "small-box"],
            "promised": "2027-01-29",
            "late_cost_per_day": 2,
        },
        "one": {"units": {"bowl": 1}, "pieces": {"leaflet": 1}, "cartons": ["small-box"]},
    }
    if ship:
        made["tiers"]["set"]["split"] = {"ship": ship, "extra_postage": 2.5} | split
    made["planning"] = {"rounds": 100}
    made["orders"] = [
        {"ref": "a", "tier": "set", "units": {"bowl": ["cream"], "cup": ["cream", "slate"]}, "count": 60},
        {"ref": "b", "tier": "set", "units": {"bowl": ["slate"], "cup": ["slate", "slate"]}, "country": "US"},
        {"ref": "c", "tier": "one", "units": {"bowl": ["cream"]}, "count": 5},
    ]
    return made


def campaign(ship: str | None = "in parts", **split: Any) -> Campaign:
    """The campaign, read and checked."""
    return read(document(ship, **split))

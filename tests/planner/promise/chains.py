"""A press that works round the clock on a chain of activities, each a run of its own tool: PERT as a special case."""

from typing import Any

from planner.campaign import Campaign
from planner.reading import read

SHOTS = 1000
DAY_S = 86400


def chain(activities: dict[str, tuple[float, float, float]], shape: str = "pert") -> Campaign:
    """One run a tool, tool after tool in the order given, each as long as its three-point says, in days."""
    hours = {"mon-sun": "00:00-24:00"}
    tools: dict[str, Any] = {}
    unsure: dict[str, Any] = {}
    for name, (early, likely, late) in activities.items():
        tools[name] = {
            "cavities": {name: 1},
            "cycle_s": likely * DAY_S / SHOTS,
            "scrap_share": 0,
            "mount_minutes": 0,
            "startup_shots": 0,
            "presses": ["one"],
        }
        shares = {"early": early / likely, "likely": 1, "late": late / likely, "shape": shape}
        unsure[name] = {"cycle_share": shares}
    data = {
        "name": "chain",
        "time_zone": "Etc/UTC",
        "start": "2027-01-04T00:00",
        "presses": {
            "one": {
                "barrels": [{"holdup_kg": 0.1, "shot_max_g": 100, "clean": True}],
                "clamp_kn": 1000,
                "hours": hours,
                "efficiency": 1,
                "restart_minutes": 0,
                "begins_with": [{"tool": name, "colours": ["grey"]} for name in activities],
            }
        },
        "tools": tools,
        "resins": {"pp": {"family": "PP", "stock_kg": 1e6}},
        "colours": {"grey": {"hex": "#888888", "stock_kg": 1e6}},
        "parts": {name: {"barrels": [{"resin": "pp", "mass_g": 10}]} for name in activities},
        "products": {
            "thing": {"parts": dict.fromkeys(activities, 1), "colourways": {"grey": {n: ["grey"] for n in activities}}}
        },
        "tiers": {"one": {"units": {"thing": 1}, "pack_minutes": 0, "promised": "2027-01-20"}},
        "orders": [{"tier": "one", "units": {"thing": ["grey"]}, "count": SHOTS}],
        "assembly": {"hours": hours},
        "packing": {"hours": hours, "batch_parcels": SHOTS},
        "pick_ups": {"days": ["mon", "tue", "wed", "thu", "fri", "sat", "sun"]},
        "uncertainty": {"tools": unsure},
    }
    return read(data)

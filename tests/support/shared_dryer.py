"""A campaign whose hinges and lids draw two resins from one dryer, on two presses, while somebody is there by day."""

from typing import Any

RESINS = ("pa", "abs")


def shared_dryer(count: int = 3000, dryer_kg: float | None = 36, **floor: object) -> dict[str, Any]:
    """43 g of PA66 and 20 g of ABS a shot, each at 18 s; PA66 is dried for 4 h and ABS for 2 h in dryer `d`."""
    barrel = {"holdup_kg": 0.3, "shot_max_g": 120, "clean": True}
    press = {"barrels": [barrel], "clamp_kn": 500, "efficiency": 1, "hours": {"mon-fri": "06:00-22:00"}}
    resins: dict[str, Any] = {
        "pa": {"family": "PA66", "stock_kg": 900, "drying_hours": 4, "drying_c": 80, "dryer": "d"},
        "abs": {"family": "ABS", "stock_kg": 900, "drying_hours": 2, "drying_c": 85, "dryer": "d"},
    }
    if dryer_kg is not None:
        for resin in resins.values():
            resin["dryer_kg"] = dryer_kg
    return {
        "name": "hinges and lids", "start": "2027-01-11T06:00",
        "presses": {"a": press, "b": press},
        "tools": {
            "hinge": {"cavities": {"hinge": 2}, "cycle_s": 18, "presses": ["a"], "clamp_kn": 90},
            "lid": {"cavities": {"lid": 1}, "cycle_s": 18, "presses": ["b"], "clamp_kn": 90},
        },
        "resins": resins,
        "colours": {"grey": {"hex": "#888888", "stock_kg": 90}},
        "parts": {
            "hinge": {"barrels": [{"resin": "pa", "mass_g": 21.5}]},
            "lid": {"barrels": [{"resin": "abs", "mass_g": 20}]},
        },
        "products": {
            "hinge": {"parts": {"hinge": 1, "lid": 1}, "colourways": {"grey": {"hinge": ["grey"], "lid": ["grey"]}}}
        },
        "tiers": {"one": {"units": {"hinge": 1}}},
        "orders": [{"tier": "one", "units": {"hinge": ["grey"]}, "count": count}],
        "floor": {"attended": {"hours": {"mon-fri": "06:00-22:00"}}, "setter_rate_per_hour": 30} | floor,
        "planning": {"rounds": 1},
    }  # fmt: skip

"""A small campaign whose tools still have steps to go through."""

from typing import Any

from planner.campaign import Campaign
from planner.reading import read


def document(
    steps: dict[str, dict[str, Any]],
    toolmakers: dict[str, Any] | None = None,
    start: str = "2027-01-11T06:00",
    **tool: Any,
) -> dict[str, Any]:
    """One tool and part for each entry of `steps`, all on one press. tool: fields that every tool gets."""
    return {
        "name": "steps",
        "time_zone": "Europe/London",
        "start": start,
        "presses": {
            "one": {
                "barrels": [{"holdup_kg": 0.1, "shot_max_g": 100, "clean": True}],
                "clamp_kn": 1000,
                "hours": {"mon-fri": "06:00-22:00"},
            }
        },
        "toolmakers": toolmakers or {},
        "tools": {
            name: {"cavities": {name: 1}, "cycle_s": 30, "presses": ["one"], "until_ready": left} | tool
            for name, left in steps.items()
        },
        "resins": {"pp": {"family": "PP", "stock_kg": 1e5}},
        "colours": {"grey": {"hex": "#888888", "stock_kg": 1e5}},
        "parts": {name: {"barrels": [{"resin": "pp", "mass_g": 10}]} for name in steps},
        "products": {"thing": {"parts": dict.fromkeys(steps, 1), "colourways": {"grey": {n: ["grey"] for n in steps}}}},
        "tiers": {"one": {"units": {"thing": 1}, "promised": "2027-02-20"}},
        "orders": [{"tier": "one", "units": {"thing": ["grey"]}, "count": 200}],
    }


def campaign(*args: Any, **kwargs: Any) -> Campaign:
    """The campaign of `document`, checked."""
    return read(document(*args, **kwargs))

"""Before its first plan a worker compiles all that planning may need and plans something tiny, so that compiling does
not use up a maker's time budget, nor keep a stop from being heard."""

import fcntl
import logging
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from planner.campaign import Campaign
from planner.control import Unhurried
from worker.compiling import mark_in
from worker.solving.plan import Planner

log = logging.getLogger(__name__)

TINY: dict[str, Any] = {
    "name": "one pot, to warm up",
    "start": "2027-01-11T06:00",
    "presses": {
        "one": {"barrels": [{"holdup_kg": 0.4, "shot_max_g": 200, "holds": "pp/sand"}], "clamp_kn": 800},
        "two": {"barrels": [{"holdup_kg": 0.4, "shot_max_g": 200}], "clamp_kn": 800},
    },
    "tools": {"pot": {"cavities": {"pot": 1}, "cycle_s": 30, "presses": ["one", "two"]}},
    "resins": {"pp": {"family": "PP", "lead_days": 1}},
    "colours": {"sage": {"hex": "#8fae8b", "lead_days": 1}, "sand": {"hex": "#d8c8a8", "lead_days": 1}},
    "parts": {"pot": {"barrels": [{"resin": "pp", "mass_g": 40}]}},
    "products": {"pot": {"parts": {"pot": 1}, "colourways": {"sage": {"pot": ["sage"]}, "sand": {"pot": ["sand"]}}}},
    "tiers": {"one": {"units": {"pot": 1}}},
    "orders": [
        {"tier": "one", "units": {"pot": ["sage"]}, "count": 20},
        {"tier": "one", "units": {"pot": ["sand"]}, "count": 20},
    ],
    "planning": {"rounds": 2},
}
"""A campaign with two of everything that a plan decides about."""


Compiler = Callable[[Callable[[], None]], None]
"""Builds all that planning needs compiled. Takes what it shall call where it does not find it built already."""


def nothing_to_compile(_building: Callable[[], None]) -> None:
    """For a planner without compiled parts."""


def warm_up(planner: Planner, folder: Path, compile_all: Compiler = nothing_to_compile) -> None:
    """Compile all that planning may need, for a plan being compiled hears no stop; then plan TINY. Workers that start
    together take turns: the first one compiles, the others find it done."""
    begun = time.monotonic()
    folder.mkdir(parents=True, exist_ok=True)
    with (folder / "warming.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        try:
            compile_all(mark_in(folder).touch)
        finally:
            mark_in(folder).unlink(missing_ok=True)
        planner(Campaign.model_validate(TINY), Unhurried())
    log.info("warm after %.1f s", time.monotonic() - begun)

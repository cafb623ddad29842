"""The luck of every floor: what each unsure thing turns out to be, drawn once for all floors.

A factor is one thing that is not sure and can be ranked as a driver; noise is not ranked (which parts happen to be
scrap).
"""

from dataclasses import dataclass

import numpy as np

from planner.campaign import Campaign
from planner.campaign.common_case import uncertainty_of
from planner.campaign.uncertainty import FirstTrial, Spread
from planner.promise.quantiles import quantiles
from planner.promise.random_streams import uniforms
from planner.promise.tool_days import days_late, step_days
from planner.schedule.instance import Floats

DAY_S = 86400
MOST_REWORKS = 12
"""Trials that fail more often than this in a row are counted as this many: at a chance of 0.5, one in 4096."""


@dataclass(frozen=True)
class Factor:
    """One unsure thing on all floors. about: in words. values (floors): days, or shares of what is planned."""

    name: str
    about: str
    values: Floats
    unit: str


@dataclass(frozen=True)
class Luck:
    """All factors by what they act on. Days are calendar days, shares are of what is planned, scrap is of parts."""

    floors: int
    seed: int
    common: bool
    ready_days: dict[str, Floats]
    cycle_share: dict[str, Floats]
    scrap_share: dict[str, Floats]
    efficiency_share: dict[str, Floats]
    piece_days: dict[str, Floats]
    resin_days: dict[str, Floats]
    colour_days: dict[str, Floats]
    mount_share: dict[str, Floats]
    stops_share: dict[str, Floats]
    purge_share: dict[str, Floats]
    bench_share: dict[str, Floats]
    carrier_days: Floats | None
    factors: list[Factor]


def draw(campaign: Campaign, floors: int, seed: int) -> Luck:
    """Draw what is not sure for that many floors. The same seed gives a floor the same luck in every variant."""
    unsure, common = uncertainty_of(campaign)
    factors: list[Factor] = []

    def one(name: str, about: str, spread: Spread, unit: str, least: float, most: float) -> Floats:
        values = np.clip(quantiles(spread, uniforms(seed, name, floors)), least, most)
        factors.append(Factor(name, about, values, unit))
        return values

    ready, cycle, scrap, mount = {}, {}, {}, {}
    for tool, said in sorted(unsure.tools.items()):
        days = np.zeros(floors)
        if said.ready_days is not None:
            days += one(f"tool/{tool}/ready", f"when tool {tool} is ready", said.ready_days, "days", -3650, 3650)
        if said.first_trial is not None and said.first_trial.success_chance < 1:
            rework = reworks(said.first_trial, tool, floors, seed)
            factors.append(Factor(f"tool/{tool}/trials", f"rework after trials of tool {tool}", rework, "days"))
            days += rework
        if said.ready_days is not None or said.first_trial is not None:
            ready[tool] = days
        if said.cycle_share is not None:
            cycle[tool] = one(f"tool/{tool}/cycle", f"the cycle of tool {tool}", said.cycle_share, "share", 0.05, 20)
        if said.scrap_share is not None:
            scrap[tool] = one(f"tool/{tool}/scrap", f"scrap of tool {tool}", said.scrap_share, "share", 0, 0.95)
        if said.mount_share is not None:
            mount[tool] = one(f"tool/{tool}/mount", f"mounting tool {tool}", said.mount_share, "share", 0.05, 20)
    if any(tool.until_ready for tool in campaign.tools.values()):
        steps = step_days(campaign, unsure.step_share, floors, seed)
        factors += [Factor(f"tool/{of[0]}/step/{of[1]}", words, days, "days") for of, (words, days) in steps.items()]
        ready |= days_late(campaign, steps, ready, floors)
    efficiency = {
        press: one(f"press/{press}/efficiency", f"the efficiency of press {press}", spread, "share", 0.05, 20)
        for press, spread in sorted(unsure.efficiency_share.items())
    }
    stops = {
        press: one(f"press/{press}/stops", f"breakdowns of press {press}", spread, "share", 0, 0.9)
        for press, spread in sorted(unsure.stops_share.items())
    }
    purge = {
        press: one(f"press/{press}/purges", f"how long press {press} purges", spread, "share", 0, 20)
        for press, spread in sorted(unsure.purge_share.items())
    }
    bench: dict[str, Floats] = {
        name: one(f"bench/{name}", f"how fast the {name} bench works", spread, "share", 0.05, 20)
        for name, spread in sorted(unsure.bench_share.items())
    }
    carrier = None
    if unsure.carrier_days is not None:
        carrier = one("carrier", "when the carrier comes", unsure.carrier_days, "days", 0, 365)
    late_days: dict[str, dict[str, Floats]] = {}
    for kind in ("piece", "resin", "colour"):
        late = {}
        for name, spread in sorted(getattr(unsure, f"{kind}_days").items()):
            about = f"deliveries of {'masterbatch ' if kind == 'colour' else ''}{name}"
            late[name] = one(f"{kind}/{name}", about, spread, "days", -3650, 3650)
        late_days[kind] = late
    return Luck(
        floors, seed, common, ready, cycle, scrap, efficiency,
        late_days["piece"], late_days["resin"], late_days["colour"],
        mount, stops, purge, bench, carrier, factors,
    )  # fmt: skip


def reworks(trial: FirstTrial, tool: str, floors: int, seed: int) -> Floats:
    """Days lost to rework until a trial is good: tried again after each, with the same chance."""
    days = np.zeros(floors)
    failing = np.ones(floors, dtype=np.bool_)
    for attempt in range(1, MOST_REWORKS + 1):
        failing &= uniforms(seed, f"tool/{tool}/trial {attempt}", floors) > trial.success_chance
        if not failing.any():
            break
        lost = quantiles(trial.rework_days, uniforms(seed, f"tool/{tool}/rework {attempt}", floors))
        days += np.where(failing, np.maximum(0.0, lost), 0.0)
    return days

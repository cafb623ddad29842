"""Runs as arrays of an Instance: their lots, where they fit, their shots, and which melts come."""

from math import ceil
from typing import Any

import numpy as np

from planner.campaign import Campaign
from planner.campaign.melts import melt_price, pigment_of
from planner.demand.items import RunDemand
from planner.purge.matrix import PurgeFigures
from planner.schedule.encode.arrays import fraction, ints
from planner.schedule.encode.changeovers import purges
from planner.schedule.encode.fit import clashes, fits_press, kept_up_with
from planner.schedule.encode.heat import Clearing
from planner.schedule.encode.indices import Indices
from planner.schedule.encode.lightness import lightness
from planner.schedule.encode.sequence_units import pinned_and_lots, smallest_lot
from planner.schedule.instance import Ints


def melts_that_come(campaign: Campaign, runs: list[RunDemand], clearing: Clearing) -> list[str]:
    """`resin/colour` of all that runs ask for, that is in presses and hot runners or left there, and that clears."""
    held = {b.holds for p in campaign.presses.values() for b in p.barrels if b.holds}
    held |= {melt for p in campaign.presses.values() for others in p.others for melt in others.leaves}
    held |= {melt for tool in campaign.tools.values() for b in range(2) if (melt := tool.hot_runner_first(b))}
    asked = {m for r in runs for m in r.melts}
    return sorted(asked | held | {clearing.leaves(campaign, m) for m in asked})


def run_fields(of: Indices, clearing: Clearing, opens: list[bool]) -> dict[str, Any]:
    """Fields of an Instance: each run demand and its lots. opens: by press, whether it ever does."""
    campaign, presses, runs = of.campaign, of.presses, of.runs
    fits = np.array([[fits_press(campaign, press, run, clearing) for run in runs] for press in presses], dtype=np.bool_)
    fits = kept_up_with(campaign, presses, runs, fits.reshape(len(presses), len(runs)))
    lot_run, lot_shots, pinned = pinned_and_lots(campaign, presses, runs, clearing)
    tool_index = {tool: n for n, tool in enumerate(of.tools)}
    return {
        "pinned": pinned,
        "run_tool": ints(tool_index[r.tool] for r in runs),
        "run_shots": ints(r.shots for r in runs),
        "run_smallest": ints(smallest_lot(campaign, r, clearing) or 0 for r in runs),
        "fits": fits & np.array(opens, dtype=np.bool_)[:, None],
        "clash": clashes(campaign, runs, clearing),
        "startup_shots": ints(campaign.tools[r.tool].startup_shots for r in runs),
        "lot_run": lot_run,
        "lot_shots": lot_shots,
        **_shots(of),
    }


def _shots(of: Indices) -> dict[str, Any]:
    """What a shot of each run is made of, and how long it takes on each press."""
    campaign, presses, runs, melt_index = of.campaign, of.presses, of.runs, of.melt_index
    run_melt = np.full((len(runs), 2), -1, dtype=np.int64)
    shot_kg = np.zeros((len(runs), 2))
    for r, run in enumerate(runs):
        for b, melt in enumerate(run.melts):
            run_melt[r, b] = melt_index[melt]
            shot_kg[r, b] = of.shot_g[run.tool][b] / 1000
    shot_num, shot_den = np.ones((2, len(presses), len(runs)), dtype=np.int64)
    startup_s = np.zeros((len(presses), len(runs)), dtype=np.int64)
    for p, press in enumerate(presses):
        for r, run in enumerate(runs):
            tool = campaign.tools[run.tool]
            shot = fraction(tool.cycle_s) / fraction(campaign.presses[press].efficiency)
            shot_num[p, r], shot_den[p, r] = shot.numerator, shot.denominator
            startup_s[p, r] = ceil(shot * tool.startup_shots)
    return {
        "run_melt": run_melt, "shot_kg": shot_kg, "shot_num": shot_num, "shot_den": shot_den, "startup_s": startup_s,
    }  # fmt: skip


def melt_fields(of: Indices, figures: dict[tuple[str, int], PurgeFigures]) -> dict[str, Any]:
    """Fields of an Instance: what one melt after another takes, and what each costs as waste."""
    campaign, melts = of.campaign, of.melts
    like = first_alike(campaign, melts)
    purge_kg, purge_s, hot_kg, hot_s = purges(campaign, of.presses, of.tools, of.runs, melts, figures, of.shot_g)
    return {
        "purge_kg": purge_kg,
        "purge_s": purge_s,
        "hot_kg": hot_kg,
        "hot_s": hot_s,
        "waste_cost_kg": np.array([melt_price(campaign, m) + campaign.floor.disposal_per_kg for m in melts]),
        "melt_light": np.array([lightness(campaign, m) for m in melts]),
        **({} if (like == np.arange(like.size)).all() else {"melt_like": like}),
    }


def first_alike(campaign: Campaign, melts: list[str]) -> Ints:
    """(M) the first melt that is the same to a press."""
    pigments = [pigment_of(campaign, melt) for melt in melts]
    return ints(pigments.index(one) for one in pigments)

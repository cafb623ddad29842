"""Purge kilograms and seconds for every barrel and hot runner."""

from math import ceil

import numpy as np

from planner.campaign import Campaign
from planner.demand.items import RunDemand
from planner.purge.cost import purge_shots
from planner.purge.matrix import PurgeFigures
from planner.schedule.compiled.arrays import fraction
from planner.schedule.instance import Floats, Ints


def purges(
    campaign: Campaign,
    presses: list[str],
    tools: list[str],
    runs: list[RunDemand],
    melts: list[str],
    figures: dict[tuple[str, int], PurgeFigures],
    shot_g: dict[str, list[float]],
) -> tuple[Floats, Ints, Ints]:
    """(kg from melt to melt in each barrel, seconds of it before each run, seconds of each run's hot runner)."""
    P, R, M = len(presses), len(runs), len(melts)
    purge_kg = np.zeros((P, 2, M, M))
    purge_s = np.zeros((P, 2, R, M), dtype=np.int64)
    hot_s = np.zeros((P, 2, R, M), dtype=np.int64)
    melt_index = {m: n for n, m in enumerate(melts)}
    held = hot_runners(campaign, tools)
    holdup = holdups(campaign, presses)
    for p, press_id in enumerate(presses):
        for b in range(len(campaign.presses[press_id].barrels)):
            purge_kg[p, b] = figures[press_id, b].kg
        for r, run in enumerate(runs):
            tool = campaign.tools[run.tool]
            cycle = fraction(tool.purge_cycle_s or tool.cycle_s) / fraction(campaign.presses[press_id].efficiency)
            for b, melt in enumerate(run.melts[: len(campaign.presses[press_id].barrels)]):
                kg = purge_kg[p, b, :, melt_index[melt]]
                hot_kg = kg * held[tools.index(run.tool), b] / holdup[p, b]
                for amount, seconds in ((kg, purge_s), (hot_kg, hot_s)):
                    shots = purge_shots(amount, shot_g[run.tool][b])
                    seconds[p, b, r] = [ceil(cycle * int(n)) for n in shots]
    return purge_kg, purge_s, hot_s


def holdups(campaign: Campaign, presses: list[str]) -> Floats:
    """(P, 2) kg of melt each barrel holds; 1 where there is none, so that nothing is divided by zero."""
    held = np.ones((len(presses), 2))
    for p, press_id in enumerate(presses):
        for b, barrel in enumerate(campaign.presses[press_id].barrels):
            held[p, b] = barrel.holdup_kg
    return held


def hot_runners(campaign: Campaign, tools: list[str]) -> Floats:
    """(T, 2) kg of melt a tool holds in a hot runner behind each barrel."""
    held = np.zeros((len(tools), 2))
    for t, tool_id in enumerate(tools):
        for b, kg in enumerate(campaign.tools[tool_id].hot_runner_kg):
            held[t, b] = kg
    return held

"""Purge kilograms and seconds for every barrel and hot runner."""

import numpy as np

from planner.campaign import Campaign
from planner.campaign.melt_density import melt_density
from planner.demand.items import RunDemand
from planner.purge.cost import purge_shots
from planner.purge.difference import Array
from planner.purge.figures import hot_runner_fits, hot_runner_melt
from planner.purge.matrix import PurgeFigures
from planner.purge.times import air_shots_kg_h, air_shots_seconds
from planner.schedule.encode.arrays import fraction
from planner.schedule.instance import Bools, Floats, Ints


def purges(
    campaign: Campaign,
    presses: list[str],
    tools: list[str],
    runs: list[RunDemand],
    melts: list[str],
    figures: dict[tuple[str, int], PurgeFigures],
    shot_g: dict[str, list[float]],
) -> tuple[Floats, Ints, Floats, Ints]:
    """kg and seconds for each barrel and each tool's hot runner, purged with melt alone."""
    P, T, R, M = len(presses), len(tools), len(runs), len(melts)
    purge_kg = np.zeros((P, 2, M, M))
    hot_kg = np.zeros((T, 2, M, M))
    purge_s = np.zeros((P, 2, R, M), dtype=np.int64)
    hot_s = np.zeros((P, 2, R, M), dtype=np.int64)
    for p, press_id in enumerate(presses):
        for b in range(len(campaign.presses[press_id].barrels)):
            purge_kg[p, b] = figures[press_id, b].kg
    fits, one = hot_runner_fits(figures), next(iter(figures.values()))
    for t, tool_id in enumerate(tools):
        for b, held in enumerate(campaign.tools[tool_id].hot_runner_kg):
            hot_kg[t, b] = hot_runner_melt(one, held, fits.get((tool_id, b)))
    melt_index = {m: n for n, m in enumerate(melts)}
    tool_index = {t: n for n, t in enumerate(tools)}
    known: dict[tuple[int, int, int], list[int]] = {}
    for r, run in enumerate(runs):
        for p, press_id in enumerate(presses):
            for b, melt in enumerate(run.melts[: len(campaign.presses[press_id].barrels)]):
                new, resin = melt_index[melt], melt.rpartition("/")[0]
                if (p, b, new) not in known:
                    known[p, b, new] = barrel_seconds(campaign, press_id, b, resin, purge_kg[p, b, :, new])
                purge_s[p, b, r] = known[p, b, new]
                hot = hot_kg[tool_index[run.tool], b, :, new]
                if hot.any():
                    hot_s[p, b, r] = hot_runner_seconds(campaign, press_id, run.tool, hot, shot_g[run.tool][b])
    return purge_kg, purge_s, hot_kg, hot_s


def barrel_seconds(campaign: Campaign, press: str, barrel: int, resin: str, kg: Array) -> list[int]:
    """Whole seconds of purging each of `kg` out of a press barrel (from 0) into the open with a resin."""
    density = melt_density(resin, campaign.resins[resin])
    kg_h = air_shots_kg_h(campaign.presses[press].barrels[barrel], campaign.purging.air_shot_share, density)
    return [air_shots_seconds(float(one), kg_h) for one in kg]


def hot_runner_seconds(campaign: Campaign, press: str, tool: str, kg: Array, shot_g: float) -> list[int]:
    """Whole seconds of purging each of `kg` through the tool on a press, in its shots of `shot_g` g."""
    terms = campaign.tools[tool]
    cycle = fraction(terms.purge_cycle_s or terms.cycle_s) / fraction(campaign.presses[press].efficiency)
    return [-(-int(n) * cycle.numerator // cycle.denominator) for n in purge_shots(kg, shot_g)]


def hot_runners(campaign: Campaign, tools: list[str]) -> Bools:
    """(T, 2) whether a tool holds melt in a hot runner behind that barrel."""
    held = np.zeros((len(tools), 2), dtype=np.bool_)
    for t, tool_id in enumerate(tools):
        for b, kg in enumerate(campaign.tools[tool_id].hot_runner_kg):
            held[t, b] = kg > 0
    return held

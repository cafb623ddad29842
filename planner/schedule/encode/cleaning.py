"""Where purging with a compound is preferred to melt alone, and what it takes there, as arrays of an Instance.

The preference is settled here, pair by pair, by the plan's aim: it does not hang on the order of work. Whether there is
enough of the compound when a changeover begins does, and is left to the evaluator.
"""

from collections.abc import Iterator, Mapping

import numpy as np

from planner.campaign import Campaign
from planner.campaign.planning import Aim
from planner.demand.items import RunDemand
from planner.purge.compound import CompoundFigures, Place, Weighed, better, compound_figures
from planner.purge.matrix import PurgeFigures
from planner.schedule.encode.changeovers import barrel_seconds, hot_runner_seconds
from planner.schedule.encode.materials import compound_to_plan
from planner.schedule.instance import Instance, Ints


def hot_runner_figures(campaign: Campaign, tool: str, barrel: int, figures: PurgeFigures) -> CompoundFigures | None:
    """What the compound takes in a tool's hot runner behind a barrel (from 0); None where there is no compound."""
    compound, held = campaign.purging.compound, campaign.tools[tool].hot_runner_kg
    if compound is None:
        return None
    kg = held[barrel] if barrel < len(held) else 0.0
    return compound_figures(compound, figures.melts, kg, Place(None, barrel, hot_runner=True))


class _Places:
    """Barrels by press, or hot runners by tool (N), while it is settled where the compound is preferred there.

    kg, rinse_kg (N, 2, M, M); compound_s (P, 2, R, M). ways: kg, seconds and money of both ways, summed over the runs
    that may come to a place and the presses they may come on.
    """

    def __init__(self, count: int, melt_s: Ints, melts: int) -> None:
        shape = (count, 2, melts, melts)
        self.melt_s, self.compound_s = melt_s, melt_s.copy()
        self.kg, self.rinse_kg = np.zeros(shape), np.zeros(shape)
        self.offered, self.only = np.zeros(shape, dtype=np.bool_), np.zeros(shape, dtype=np.bool_)
        self.with_compound, self.with_melt = np.zeros((3, *shape)), np.zeros((3, *shape))

    def settle(self, aim: Aim) -> None:
        """Keep the figures only where the compound is preferred."""
        preferred = self.offered & (self.only | better(aim, Weighed(*self.with_compound), Weighed(*self.with_melt)))
        self.kg, self.rinse_kg = np.where(preferred, self.kg, 0.0), np.where(preferred, self.rinse_kg, 0.0)
        self.only &= preferred


def with_cleaning(
    inst: Instance,
    campaign: Campaign,
    presses: list[str],
    tools: list[str],
    runs: list[RunDemand],
    figures: Mapping[tuple[str, int], PurgeFigures],
    shot_g: dict[str, list[float]],
) -> Instance:
    """The instance with the compound's arrays; it must have the compound among its materials, as the last one."""
    compound = compound_to_plan(campaign)
    if compound is None:
        return inst
    melts = inst.purge_kg.shape[-1]
    barrels, hot = _Places(len(presses), inst.purge_s, melts), _Places(len(tools), inst.hot_s, melts)
    per_kg = compound.price_per_kg + campaign.floor.disposal_per_kg
    for p, b, r in _comings(inst, campaign, presses, runs):
        press, tool, new, t = presses[p], runs[r].tool, int(inst.run_melt[r, b]), int(inst.run_tool[r])
        rate, melt_cost = float(inst.press_cost_s[p] + inst.setter_cost_s[p]), float(inst.waste_cost_kg[new])
        behind = hot_runner_figures(campaign, tool, b, figures[press, b]) if inst.hot_runner[t, b] else None
        for places, at, found, melt_kg in (
            (barrels, p, figures[press, b].compound, inst.purge_kg[p, b, :, new]),
            (hot, t, behind, inst.hot_kg[t, b, :, new]),
        ):
            if found is None:
                continue
            kg, rinse_kg = found.kg[:, new], found.rinse_kg[:, new]
            total = found.total_kg[:, new]
            purged = (
                barrel_seconds(campaign, press, b, runs[r].melts[b].rpartition("/")[0], total)
                if places is barrels
                else hot_runner_seconds(campaign, press, tool, total, shot_g[tool][b])
            )
            seconds = np.array(purged, dtype=np.int64) + found.soak_s[:, new].astype(np.int64)
            melt_s = places.melt_s[p, b, r]
            money = kg * per_kg + rinse_kg * melt_cost + seconds * rate
            here = (slice(None), at, b, slice(None), new)
            places.with_compound[here] += (kg + rinse_kg, seconds, money)
            places.with_melt[here] += (melt_kg, melt_s, melt_kg * melt_cost + melt_s * rate)
            places.compound_s[p, b, r] = seconds
            for name in ("kg", "rinse_kg", "offered", "only"):
                getattr(places, name)[here[1:]] = getattr(found, name)[:, new]
    aim = campaign.planning.aim
    barrels.settle(aim)
    hot.settle(aim)
    return inst._replace(
        compound=inst.material_price.size - 1,
        compound_cost_kg=per_kg,
        compound_kg=barrels.kg,
        compound_rinse_kg=barrels.rinse_kg,
        compound_s=barrels.compound_s,
        compound_only=barrels.only,
        hot_compound_kg=hot.kg,
        hot_rinse_kg=hot.rinse_kg,
        hot_compound_s=hot.compound_s,
        hot_only=hot.only,
    )


def _comings(
    inst: Instance, campaign: Campaign, presses: list[str], runs: list[RunDemand]
) -> Iterator[tuple[int, int, int]]:
    """(press, barrel, run) wherever a run may come."""
    for p, press in enumerate(presses):
        for b in range(len(campaign.presses[press].barrels)):
            for r, run in enumerate(runs):
                if inst.fits[p, r] and b < len(run.melts):
                    yield p, b, r

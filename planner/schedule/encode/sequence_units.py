"""Lots to be put in order, and those the maker has pinned."""

from planner.campaign import Campaign
from planner.demand.items import RunDemand
from planner.demand.lots import lots
from planner.schedule.encode.arrays import ints
from planner.schedule.encode.heat import Clearing
from planner.schedule.instance import Ints


def pinned_and_lots(
    campaign: Campaign, presses: list[str], runs: list[RunDemand], clearing: Clearing
) -> tuple[Ints, Ints, Ints]:
    """Lots of every demand; those of pinned runs first, press by press, so that `pinned` counts them off.

    A melt that must not stand is cleared behind each lot, so its demand is not cut.
    """
    index = {(r.tool, r.colours): n for n, r in enumerate(runs)}
    lot_run: list[int] = []
    lot_shots: list[int] = []
    pinned = []
    left = {n: run.shots for n, run in enumerate(runs)}
    fixed: set[int] = set()
    for press_id in presses:
        number = 0
        for begun in campaign.presses[press_id].begins_with:
            run = index.get((begun.tool, tuple(begun.colours)))
            if run is None or run in fixed:
                continue
            fixed.add(run)
            lot_run.append(run)
            lot_shots.append(_fixed(begun.shots, runs[run], smallest_lot(campaign, runs[run], clearing)))
            left[run] -= lot_shots[-1]
            number += 1
        pinned.append(number)
    for n, run_demand in enumerate(runs):
        if left[n]:
            for shots in lots(left[n], smallest_lot(campaign, run_demand, clearing)):
                lot_run.append(n)
                lot_shots.append(shots)
    return ints(lot_run), ints(lot_shots), ints(pinned)


def smallest_lot(campaign: Campaign, run: RunDemand, clearing: Clearing) -> int | None:
    """Shots of the smallest lot; None: its runs are not cut."""
    cleared = any(melt.rpartition("/")[0] in clearing.left for melt in run.melts)
    return None if cleared else campaign.tools[run.tool].smallest_lot_shots


def _fixed(asked: int | None, run: RunDemand, smallest: int | None) -> int:
    """Shots of a pinned run that stay where it is: all, unless it may be cut after those asked for."""
    if asked is None or smallest is None:
        return run.shots
    shots = max(asked, smallest)
    return shots if run.shots - shots >= smallest else run.shots

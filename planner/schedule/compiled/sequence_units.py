"""Lots to be put in order, and those the maker has pinned."""

from planner.campaign import Campaign
from planner.demand.items import RunDemand
from planner.demand.lots import lots
from planner.schedule.compiled.arrays import ints
from planner.schedule.instance import Ints


def pinned_and_lots(campaign: Campaign, presses: list[str], runs: list[RunDemand]) -> tuple[Ints, Ints, Ints]:
    """Lots of every demand; those of pinned runs first, press by press, so that `pinned` counts them off."""
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
            lot_shots.append(_fixed(begun.shots, runs[run], campaign))
            left[run] -= lot_shots[-1]
            number += 1
        pinned.append(number)
    for n, run_demand in enumerate(runs):
        if left[n]:
            for shots in lots(left[n], campaign.tools[run_demand.tool].smallest_lot_shots):
                lot_run.append(n)
                lot_shots.append(shots)
    return ints(lot_run), ints(lot_shots), ints(pinned)


def _fixed(asked: int | None, run: RunDemand, campaign: Campaign) -> int:
    """Shots of a pinned run that stay where it is: all, unless it may be cut after those asked for."""
    smallest = campaign.tools[run.tool].smallest_lot_shots
    if asked is None or smallest is None:
        return run.shots
    shots = max(asked, smallest)
    return shots if run.shots - shots >= smallest else run.shots

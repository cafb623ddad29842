"""Which run fits which press, and which resins must never meet."""

import numpy as np

from planner.campaign import Campaign
from planner.campaign.dryer_rate import in_one_dryer, outruns_dryer
from planner.campaign.fit import misfits
from planner.campaign.forbidden import why_forbidden
from planner.campaign.operators import enough_operators
from planner.campaign.unknown_melts import unknown_in
from planner.demand.items import RunDemand
from planner.schedule.encode.heat import Clearing
from planner.schedule.instance import Bools, Ints


def fits_press(campaign: Campaign, press_id: str, run: RunDemand, clearing: Clearing) -> bool:
    """A1: allowed, clamp force, barrels, shot within each barrel's window; A5 and A6 for what the press begins with."""
    if misfits(campaign, run.tool, press_id) or in_one_dryer(campaign, run.melts):
        return False
    if not enough_operators(campaign, run.tool, press_id):
        return False
    press = campaign.presses[press_id]
    for b, melt in enumerate(run.melts[: len(press.barrels)]):
        resin = melt.rpartition("/")[0]
        left = {others.leaves[b] for others in press.others if b < len(others.leaves)}
        if any(forbidden(campaign, name, resin) for name in press.resins_of_others):
            return False
        if any(not _may_share(campaign, clearing, before, melt) for before in left):
            return False
        if unknown_in(campaign, press_id, b) and not clearing.may_follow_unknown(resin):
            return False
    return not any(
        forbidden(campaign, held, melt.rpartition("/")[0])
        or (barrel.holds is not None and not _may_share(campaign, clearing, barrel.holds, melt))
        for barrel, melt in zip(campaign.presses[press_id].barrels, run.melts, strict=False)
        for held in barrel.resins_in_it
    )


def kept_up_with(campaign: Campaign, presses: list[str], runs: list[RunDemand], fits: Bools) -> Bools:
    """(P, R) of the presses that a run fits, those on which its dryers keep up with it (A3); all where none do, so that
    it is seen what is in the way."""
    slow = np.array(
        [[outruns_dryer(campaign, run.tool, press, run.melts, run.shots) is None for run in runs] for press in presses],
        dtype=np.bool_,
    ).reshape(fits.shape)
    return np.where((fits & slow).any(axis=0), fits & slow, fits)


def _may_share(campaign: Campaign, clearing: Clearing, before: str, melt: str) -> bool:
    """Whether a melt may come into a barrel that another has been in: not forbidden, and a way from heat to heat."""
    one, other = before.rpartition("/")[0], melt.rpartition("/")[0]
    return not forbidden(campaign, one, other) and clearing.may_follow(one, other)


def forbidden(campaign: Campaign, one: str, other: str) -> bool:
    """A6: whether two resins must never share a barrel, dryer or hot runner."""
    return why_forbidden(campaign, one, other) is not None


def clashes(campaign: Campaign, runs: list[RunDemand], clearing: Clearing) -> Bools:
    """(R, R) runs that must not share a press: a forbidden pair, or no bridge from what one leaves to the other."""
    # It hangs on the resins alone, of which a campaign has few kinds of run.
    kinds = [tuple(melt.rpartition("/")[0] for melt in run.melts) for run in runs]
    first = dict(zip(reversed(kinds), reversed(runs), strict=True))
    place = {kind: n for n, kind in enumerate(first)}
    clash = np.zeros((len(first), len(first)), dtype=np.bool_)
    for i, one in enumerate(first.values()):
        for j, other in enumerate(first.values()):
            clash[i, j] = any(
                forbidden(campaign, a.rpartition("/")[0], b.rpartition("/")[0])
                or not _may_share(campaign, clearing, clearing.leaves(campaign, a), b)
                or not _may_share(campaign, clearing, clearing.leaves(campaign, b), a)
                for a, b in zip(one.melts, other.melts, strict=False)
            )
    at = np.array([place[kind] for kind in kinds], dtype=np.int64)
    return clash[np.ix_(at, at)]


def first_melts(campaign: Campaign, presses: list[str], melt_index: dict[str, int]) -> Ints:
    held = np.full((len(presses), 2), -1, dtype=np.int64)
    for p, press_id in enumerate(presses):
        for b, barrel in enumerate(campaign.presses[press_id].barrels):
            if barrel.unsaid:
                held[p, b] = len(melt_index)  # stands behind the last of them
            elif barrel.holds:
                held[p, b] = melt_index[barrel.holds]
    return held


def first_in_hot_runners(campaign: Campaign, tools: list[str], melt_index: dict[str, int]) -> Ints:
    """(T, 2) what each tool's hot runner holds at the start; -1: nothing, or it has none there."""
    held = np.full((len(tools), 2), -1, dtype=np.int64)
    for t, name in enumerate(tools):
        for b in range(2):
            first = campaign.tools[name].hot_runner_first(b)
            if first is not None:
                held[t, b] = melt_index[first]
            elif campaign.tools[name].hot_runner_unknown(b):
                held[t, b] = len(melt_index)
    return held

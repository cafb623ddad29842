"""Heating and cooling, bridges, and the clearing of melts that must not stand, as arrays of an Instance.

All of it hangs on pairs of resins and on a run alone, never on the order of work.
"""

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from planner.campaign import Campaign
from planner.campaign.heat import (
    UNKNOWN_HEAT,
    bridges,
    bridges_from_unknown,
    cleared_with,
    heat_of,
    in_step,
    meet_at,
    must_be_cleared,
    used_resins,
)
from planner.campaign.unknown_melts import unknown_melts
from planner.purge.heating import bridge_kg, closing_kg, heating_seconds, hot_runner_kg
from planner.schedule.encode.arrays import ints
from planner.schedule.encode.changeovers import barrel_seconds, hot_runner_seconds
from planner.schedule.encode.indices import Indices
from planner.schedule.instance import Instance, Ints


class Clearing(NamedTuple):
    """What clears what: left: resin -> the resin that it is cleared with at the end of a run; bridge: pairs that need
    one, in either order -> the resin between, or None where there is none; unknown: resin -> the same between a melt
    that nobody knows and it."""

    left: dict[str, str]
    bridge: dict[frozenset[str], str | None]
    unknown: dict[str, str | None]

    def leaves(self, campaign: Campaign, melt: str) -> str:
        """What a run of a melt leaves in the barrel."""
        behind = self.left.get(melt.rpartition("/")[0])
        return melt if behind is None else f"{behind}/{campaign.resins[behind].natural_colour}"

    def may_follow(self, one: str, other: str) -> bool:
        """Whether a resin may come into a barrel after another, directly or over a bridge."""
        return self.bridge.get(frozenset((one, other)), "") is not None

    def may_follow_unknown(self, resin: str) -> bool:
        """Whether a resin may come into a barrel of which nobody knows what is in it."""
        return self.unknown.get(resin, "") is not None

    @property
    def resins(self) -> set[str]:
        """Resins that serve to clear others."""
        return {*self.left.values(), *(name for name in (*self.bridge.values(), *self.unknown.values()) if name)}


def clearing_of(campaign: Campaign) -> Clearing:
    """Settle it for every resin that is used."""
    used = used_resins(campaign)
    left = {
        name: behind
        for name in sorted(used)
        if must_be_cleared(name, campaign.resins[name]) and (behind := cleared_with(campaign, name, used))
    }
    there = sorted(used | set(left.values()))
    found: dict[frozenset[str], str | None] = {}
    for n, one in enumerate(there):
        for other in there[n + 1 :]:
            if not in_step(campaign, one, other):
                found[frozenset((one, other))] = next(iter(bridges(campaign, one, other, used)), None)
    unknown = {
        name: next(iter(bridges_from_unknown(campaign, name, used)), None)
        for name in sorted(used)
        if unknown_melts(campaign) and meet_at(heat_of(name, campaign.resins[name]), UNKNOWN_HEAT) is None
    }
    return Clearing(left, found, unknown)


def with_heat(inst: Instance, of: Indices, clearing: Clearing) -> Instance:
    """The instance with heating in its purges, bridges, and what runs leave behind. After `with_cleaning`."""
    return _left(_bridged(_heated(inst, of), of, clearing), of, clearing)


def _heated(inst: Instance, of: Indices) -> Instance:
    """Seconds between set points in every purge of a barrel, with melt or compound; a hot runner heats beside it."""
    campaign, presses = of.campaign, of.presses
    resins = [melt.rpartition("/")[0] for melt in of.melts]
    more = np.zeros_like(inst.purge_s)
    for p, press in enumerate(presses):
        known: dict[str, Ints] = {}
        for b, r, comes in _comings(of, p):
            new = comes.rpartition("/")[0]
            if new not in known:
                heated = {old: heating_seconds(campaign, press, old, new) for old in set(resins) if old != new}
                known[new] = ints(heated.get(old, 0) for old in resins)
            more[p, b, r] = known[new]
    compound_s = inst.compound_s + more if inst.compound >= 0 else inst.compound_s
    return inst._replace(purge_s=inst.purge_s + more, compound_s=compound_s)


def _bridged(inst: Instance, of: Indices, clearing: Clearing) -> Instance:
    """Pairs that need a third resin between them: its kg and seconds, never without it."""
    campaign, presses, melts, materials = of.campaign, of.presses, of.melts, of.materials
    number = {name: n for n, (kind, name) in enumerate(materials) if kind == "resin"}
    resin = [melt.rpartition("/")[0] for melt in melts]
    bridge = np.full((len(melts), len(melts)), -1, dtype=np.int64)
    for old, one in enumerate(resin):
        for new, other in enumerate(resin):
            between = clearing.bridge.get(frozenset((one, other)))
            if one != other and between is not None:
                bridge[old, new] = number[between]
    if (bridge < 0).all():
        return inst
    inst = with_room_for_bridges(inst, len(melts), campaign.floor.disposal_per_kg)
    kg, rinse = inst.compound_kg.copy(), inst.compound_rinse_kg.copy()
    seconds, only = inst.compound_s.copy(), inst.compound_only.copy()
    pairs = bridge >= 0
    for p, press in enumerate(presses):
        for b in range(len(campaign.presses[press].barrels)):
            kg[p, b][pairs] = bridge_kg(campaign, press, b)
            rinse[p, b][pairs] = inst.purge_kg[p, b][pairs]
            only[p, b] |= pairs
        for b, r, comes in _comings(of, p):
            olds = np.flatnonzero(pairs[:, melts.index(comes)])
            if olds.size:
                amount = np.array([bridge_kg(campaign, press, b)])
                for old in olds.tolist():
                    name = materials[bridge[old, melts.index(comes)]][1]
                    took = barrel_seconds(campaign, press, b, name, amount)[0]
                    seconds[p, b, r, old] = inst.purge_s[p, b, r, old] + took
    return inst._replace(bridge=bridge, compound_kg=kg, compound_rinse_kg=rinse, compound_s=seconds, compound_only=only)


def with_room_for_bridges(inst: Instance, melts: int, disposal: float) -> Instance:
    """The instance with the arrays that bridges stand in, of so many melts. disposal: money per kg."""
    if inst.bridging:
        return inst
    if inst.compound < 0:
        none, no_hot = np.zeros_like(inst.purge_kg), np.zeros_like(inst.hot_kg)
        inst = inst._replace(
            compound_kg=none, compound_rinse_kg=none.copy(), compound_s=inst.purge_s.copy(), compound_only=none > 0,
            hot_compound_kg=no_hot, hot_rinse_kg=no_hot.copy(), hot_compound_s=inst.hot_s.copy(), hot_only=no_hot > 0,
        )  # fmt: skip
    return inst._replace(
        bridging=1,
        bridge=np.full((melts, melts), -1, dtype=np.int64),
        clearing_cost_kg=inst.material_price + disposal,
    )


def _left(inst: Instance, of: Indices, clearing: Clearing) -> Instance:
    """What runs leave behind, and what clearing them at closings and purging that out again at openings takes."""
    campaign, presses, runs, melts = of.campaign, of.presses, of.runs, of.melts
    if not clearing.left:
        return inst
    shape = (len(presses), len(runs))
    left = inst.run_melt.copy()
    closing_s, opening_s = np.zeros(shape, dtype=np.int64), np.zeros(shape, dtype=np.int64)
    closing, opening = np.zeros((*shape, 2)), np.zeros((*shape, 2))
    for p, press in enumerate(presses):
        for b, r, melt in _comings(of, p):
            behind = clearing.leaves(campaign, melt)
            if behind == melt:
                continue
            tool, old, new = runs[r].tool, melts.index(behind), melts.index(melt)
            left[r, b] = old
            hot = hot_runner_kg(campaign, tool, b)
            kg, hot_kg = (closing_kg(campaign, held) for held in (campaign.presses[press].barrels[b].holdup_kg, hot))
            closing[p, r, b] += kg + hot_kg
            closing_s[p, r] += barrel_seconds(campaign, press, b, behind.rpartition("/")[0], np.array([kg]))[0]
            closing_s[p, r] += hot_runner_seconds(campaign, press, tool, np.array([hot_kg]), of.shot_g[tool][b])[0]
            opening[p, r, b] += inst.purge_kg[p, b, old, new]
            opening_s[p, r] += inst.purge_s[p, b, r, old]
            if hot > 0:
                t = of.tools.index(tool)
                opening[p, r, b] += inst.hot_kg[t, b, old, new]
                opening_s[p, r] += inst.hot_s[p, b, r, old]
    return inst._replace(
        clearing=1, left_melt=left, closing_s=closing_s, closing_kg=closing, opening_s=opening_s, opening_kg=opening
    )


def _comings(of: Indices, p: int) -> Iterator[tuple[int, int, str]]:
    """(barrel, run, its melt there) for every run and barrel of a press."""
    barrels = len(of.campaign.presses[of.presses[p]].barrels)
    for r, run in enumerate(of.runs):
        for b, melt in enumerate(run.melts[:barrels]):
            yield b, r, melt

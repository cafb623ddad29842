"""Others' work on presses, and melts that nobody knows, as arrays of an Instance."""

from collections.abc import Mapping, Sequence

import numpy as np

from planner.calendars.attended import Attended
from planner.calendars.others import Taken, worked_before
from planner.campaign import Campaign
from planner.campaign.presses import Press
from planner.campaign.unknown_melts import UNKNOWN
from planner.purge.figures import hot_runner_fits
from planner.purge.heating import bridge_kg
from planner.purge.matrix import PurgeFigures
from planner.purge.unknown import barrel_worst, heating_at_most, hot_runner_worst
from planner.schedule.encode.changeovers import barrel_seconds, hot_runner_seconds
from planner.schedule.encode.heat import Clearing, with_room_for_bridges
from planner.schedule.encode.indices import Indices
from planner.schedule.instance import Instance, Ints

MOST_BROKEN_OFF = 400
"""Runs that others' work may break off in one plan."""


def with_others(
    inst: Instance,
    campaign: Campaign,
    presses: Sequence[str],
    hours: Sequence[tuple[list[Attended], list[Taken]]],
    melts: Sequence[str],
) -> Instance:
    """The instance with what others leave in each press before each of its stretches."""
    if not any(campaign.presses[press].others for press in presses):
        return inst
    since = np.full(inst.open_start.size, -1, dtype=np.int64)
    left = np.full((inst.open_start.size, 2), -1, dtype=np.int64)
    for p, press in enumerate(presses):
        latest = -1
        for k, who in enumerate(worked_before(*hours[p]), start=int(inst.open_ptr[p])):
            if who:
                latest = k
                for b in range(len(campaign.presses[press].barrels)):
                    left[k, b] = melts.index(left_in(campaign.presses[press], who, b))
            since[k] = latest
    comes_after = int((since == np.arange(since.size)).sum())
    return inst._replace(
        sharing=int(comes_after > 0),
        since_others=since,
        others_left=left,
        broken_off=min(comes_after, MOST_BROKEN_OFF),
    )


def left_in(press: Press, who: Sequence[int], barrel: int) -> str:
    """What those of `others` who worked there last leave in a barrel (from 0); unknown where it is not said."""
    said = {press.others[n].leaves[barrel] if barrel < len(press.others[n].leaves) else UNKNOWN for n in who}
    return said.pop() if len(said) == 1 else UNKNOWN


def with_unknown(
    inst: Instance, of: Indices, figures: Mapping[tuple[str, int], PurgeFigures], clearing: Clearing
) -> Instance:
    """The instance with one melt more, the last: the one nobody knows. It is purged with melt alone, over a bridge
    where the resin that comes is moulded hotter than it is counted on to stand."""
    campaign, presses, tools, melts = of.campaign, of.presses, of.tools, of.melts
    M = len(melts)
    bridges = {resin: name for resin, name in clearing.unknown.items() if name}
    if bridges:
        inst = with_room_for_bridges(inst, M, campaign.floor.disposal_per_kg)
    inst = _grown(inst, M)
    number = {name: n for n, (kind, name) in enumerate(of.materials) if kind == "resin"}
    fits, resins = hot_runner_fits(figures), sorted({melt.rpartition("/")[0] for melt in melts})
    for p, press in enumerate(presses):
        for b in range(len(campaign.presses[press].barrels)):
            inst.purge_kg[p, b, M, :M] = barrel_worst(campaign, figures[press, b])[0]
    for t, tool in enumerate(tools):
        for b, held in enumerate(campaign.tools[tool].hot_runner_kg):
            one = next(iter(figures.values()))
            inst.hot_kg[t, b, M, :M] = hot_runner_worst(campaign, one, held, fits.get((tool, b)))[0]
    for p, press in enumerate(presses):
        for r, run in enumerate(of.runs):
            for b, melt in enumerate(run.melts[: len(campaign.presses[press].barrels)]):
                new, resin = melts.index(melt), melt.rpartition("/")[0]
                heat = heating_at_most(campaign, press, resins, resin)
                kg = inst.purge_kg[p, b, M, new : new + 1]
                inst.purge_s[p, b, r, M] = heat + barrel_seconds(campaign, press, b, resin, kg)[0]
                hot = inst.hot_kg[tools.index(run.tool), b, M, new : new + 1]
                inst.hot_s[p, b, r, M] = hot_runner_seconds(campaign, press, run.tool, hot, of.shot_g[run.tool][b])[0]
                if between := bridges.get(resin):
                    amount = np.array([bridge_kg(campaign, press, b)])
                    took = barrel_seconds(campaign, press, b, between, amount)[0]
                    inst.bridge[M, new] = number[between]
                    inst.compound_kg[p, b, M, new] = amount[0]
                    inst.compound_rinse_kg[p, b, M, new] = kg[0]
                    inst.compound_s[p, b, r, M] = inst.purge_s[p, b, r, M] + took
    return inst


def _grown(inst: Instance, melts: int) -> Instance:
    """One melt more in every array of melts, nothing in it."""
    square = ("purge_kg", "hot_kg", "compound_kg", "compound_rinse_kg", "compound_only", "hot_compound_kg",
              "hot_rinse_kg", "hot_only")  # fmt: skip
    column = ("purge_s", "hot_s", "compound_s", "hot_compound_s")
    grown: dict[str, Ints] = {}
    for field in square:
        value = getattr(inst, field)
        if value.shape[-1] == melts:
            grown[field] = np.pad(value, [(0, 0), (0, 0), (0, 1), (0, 1)])
    for field in column:
        value = getattr(inst, field)
        if value.shape[-1] == melts:
            grown[field] = np.pad(value, [(0, 0), (0, 0), (0, 0), (0, 1)])
    if inst.bridging:
        grown["bridge"] = np.pad(inst.bridge, [(0, 1), (0, 1)], constant_values=-1)
    for field, nothing in (("waste_cost_kg", 0.0), ("melt_light", 127.5), ("melt_resin", -1), ("melt_master", -1),
                           ("melt_master_share", 0.0)):  # fmt: skip
        grown[field] = np.append(getattr(inst, field), nothing).astype(getattr(inst, field).dtype)
    if inst.melt_like.size:
        grown["melt_like"] = np.append(inst.melt_like, melts)
    return inst._replace(**grown)  # type: ignore[arg-type]

"""When the dryers of a run have its resin ready, as RULES.md, R22 and R23, have it.

A dryer is a hopper: filled, then topped up as it is drawn from, first in first out. So whatever is drawn has been in it
as long as drying takes if no more than it holds is drawn in that time, top-ups that nobody is there for included. What
is counted here is the most that could be drawn in such a time, never less: `most` of each run, or all of it at the
highest rate at which it is drawn together, and every purge.
"""

import numpy as np

from planner.schedule import timing as w
from planner.schedule.instance import NEVER, Instance
from planner.schedule.jit import inner
from planner.schedule.press_supply import PerBarrel
from planner.schedule.timing import Timing

ROUNDING_KG = 1e-9


@inner
def dryer_moment(inst: Instance, timing: Timing, p: int, run: int, shots: int, purge: PerBarrel, earliest: int) -> int:
    """The first moment from `earliest` on at which a lot of so many shots may begin on press p; NEVER if none.

    purge: kg before it.
    """
    moment = earliest
    for b in range(2):
        d = inst.run_dryer[run, b]
        if d >= 0:
            had = timing.dryers[d, w.DRIES]
            if had >= 0 and had != inst.melt_resin[inst.run_melt[run, b]]:
                moment = max(moment, cleaned_by(inst, timing.dryers[d, w.LAST_DRAW]) + inst.dry_s[run, b])
    looking = True
    while looking:
        looking = False
        for b in range(2):
            d = inst.run_dryer[run, b]
            if d < 0 or (b == 1 and inst.run_dryer[run, 0] == d):
                continue
            later = _keeps_up(inst, timing, p, run, b, shots, purge, moment)
            if later >= NEVER:
                return NEVER
            if later > moment:
                moment = later
                looking = True
    return moment


@inner
def _keeps_up(
    inst: Instance, timing: Timing, p: int, run: int, b: int, shots: int, purge: PerBarrel, moment: int
) -> int:
    """The moment, if the dryer of barrel b keeps up with what is drawn from then on; else when it may next."""
    d, holds = inst.run_dryer[run, b], inst.dryer_holds[run, b]
    if holds == np.inf:
        return moment
    window = inst.dry_window_s[run, b]
    rate = most = purged = 0.0
    for c in range(2):
        if inst.run_dryer[run, c] == d:
            own_rate, own_most = _own(inst, p, run, c, shots)
            rate += own_rate
            most += own_most
            melt = inst.run_melt[run, c]
            purged += purge[c] * (1 - inst.melt_master_share[melt])
            purged += inst.draw_again_kg[p, run, c]
    resin = inst.melt_resin[inst.run_melt[run, b]]
    since = loaded_by(inst, moment - inst.dry_s[run, b])
    draws, drawn = timing.draws, timing.drawn
    count = timing.dryers[0, w.DRAWS]
    peak = 0.0
    later = NEVER
    for n in range(count):
        if draws[n, w.DRYER] != d or draws[n, w.RESIN] != resin or draws[n, w.DRAW_END] <= since:
            continue
        most += drawn[n, w.MOST]
        purged += drawn[n, w.AGAIN]
        if draws[n, w.PURGED_BY] > since:
            purged += drawn[n, w.PURGED]
            later = min(later, loaded_from(inst, draws[n, w.PURGED_BY]) + inst.dry_s[run, b])
        if draws[n, w.DRAW_END] > moment:
            rate += drawn[n, w.RATE]
            later = min(later, draws[n, w.DRAW_END])
        later = min(later, loaded_from(inst, draws[n, w.DRAW_END]) + inst.dry_s[run, b])
        at = max(draws[n, w.DRAW_BEGIN], since)
        together = 0.0
        for m in range(count):
            there = draws[m, w.DRAW_BEGIN] <= at and at < draws[m, w.DRAW_END]
            if there and draws[m, w.DRYER] == d and draws[m, w.RESIN] == resin:
                together += drawn[m, w.RATE]
        peak = max(peak, together)
    peak = max(peak, rate)
    return moment if purged + min(window * peak, most) <= holds + ROUNDING_KG else later


@inner
def _own(inst: Instance, p: int, run: int, b: int, shots: int) -> tuple[float, float]:
    """Kg a second that a lot draws from barrel b's dryer, and the most in as long as drying takes, without purges."""
    rate = inst.draw_kg_s[p, run, b]
    all_of_it = shots * inst.shot_kg[run, b] * (1 - inst.melt_master_share[inst.run_melt[run, b]])
    return rate, min(inst.dry_window_s[run, b] * rate, all_of_it + inst.draw_startups_kg[p, run, b])


@inner
def draw(
    inst: Instance,
    timing: Timing,
    p: int,
    run: int,
    shots: int,
    span: tuple[int, int],
    purge: PerBarrel,
) -> None:
    """Write down that so many shots of a run draw from its dryers, cleaned first where another resin was in one.

    span: when they begin to, and by when the purge before it is through.
    """
    begin, purged_by = span
    for b in range(2):
        d = inst.run_dryer[run, b]
        if d < 0:
            continue
        melt = inst.run_melt[run, b]
        resin = inst.melt_resin[melt]
        if timing.dryers[d, w.DRIES] != resin:
            if timing.dryers[d, w.DRIES] >= 0:
                timing.totals[w.SETTER_COST] += inst.dryer_clean_cost
            timing.dryers[d, w.DRIES] = resin
        n = timing.dryers[0, w.DRAWS]
        timing.dryers[0, w.DRAWS] = n + 1
        timing.draws[n, w.DRYER] = d
        timing.draws[n, w.RESIN] = resin
        timing.draws[n, w.DRAW_BEGIN] = begin
        timing.draws[n, w.PURGED_BY] = purged_by
        timing.draws[n, w.DRAW_END] = purged_by
        rate, most = _own(inst, p, run, b, shots)
        timing.drawn[n, w.RATE] = rate
        timing.drawn[n, w.MOST] = most
        timing.drawn[n, w.PURGED] = purge[b] * (1 - inst.melt_master_share[melt])
        timing.drawn[n, w.AGAIN] = inst.draw_again_kg[p, run, b]


@inner
def drawn_until(inst: Instance, timing: Timing, run: int, end: int) -> None:
    """When the lot that was written down last has drawn all of it."""
    n = timing.dryers[0, w.DRAWS]
    for b in range(2):
        d = inst.run_dryer[run, b]
        if d >= 0:
            n -= 1
            timing.draws[n, w.DRAW_END] = end
            timing.dryers[d, w.LAST_DRAW] = max(timing.dryers[d, w.LAST_DRAW], end)


@inner
def loaded_by(inst: Instance, moment: int) -> int:
    """The last moment up to this one at which a dryer can be loaded; -1: before the start."""
    if inst.there_start.size == 0:
        return moment
    k = _shifts_begun(inst, moment) - 1
    return -1 if k < 0 else min(moment, inst.there_last[k])


@inner
def loaded_from(inst: Instance, moment: int) -> int:
    """The first moment from this one on at which a dryer can be loaded."""
    if inst.there_start.size == 0:
        return moment
    k = _shifts_begun(inst, moment)
    if k > 0 and moment <= inst.there_last[k - 1]:
        return moment
    return int(inst.there_start[k]) if k < inst.there_start.size else NEVER


@inner
def cleaned_by(inst: Instance, moment: int) -> int:
    """When a dryer that is drawn from until then can be clean for another resin, at the earliest: in one go, while
    somebody is there."""
    if inst.there_start.size == 0:
        return moment + inst.dryer_clean_s
    k = max(_shifts_begun(inst, moment) - 1, 0)
    while k < inst.there_start.size:
        begin = max(moment, inst.there_start[k])
        if begin + inst.dryer_clean_s <= inst.there_last[k]:
            return int(begin + inst.dryer_clean_s)
        k += 1
    return NEVER


@inner
def _shifts_begun(inst: Instance, moment: int) -> int:
    """How many shifts have begun by then."""
    low, high = 0, inst.there_start.size
    while low < high:
        middle = (low + high) // 2
        if inst.there_start[middle] <= moment:
            low = middle + 1
        else:
            high = middle
    return low

"""Runs that are moulded over parts and pieces: a lot takes all it needs as it begins, in order of start (RULES.md, O2).

Parts are there shot by shot, rested, and brought to the press where they are moulded elsewhere. A lot for which too few
have been given their place yet is held back, and looked at again whenever a lot has been placed.
"""

from planner.schedule import timing as w
from planner.schedule.bench_parts import back_from, need_of, shots_by
from planner.schedule.instance import NEVER, Instance
from planner.schedule.jit import inner
from planner.schedule.shot_moment import shot_done
from planner.schedule.timing import Timing


@inner
def takes_over(inst: Instance, timing: Timing, run: int, shots: int) -> None:
    """A lot of so many shots has begun, and takes what goes into its mould."""
    for at in range(inst.over_ptr[run], inst.over_ptr[run + 1]):
        timing.into_moulds[inst.over_good[at]] += shots * inst.over_number[at]


@inner
def short_of_parts(inst: Instance, timing: Timing, run: int, shots: int) -> bool:
    """Whether parts that so many shots take come from lots that have no place yet."""
    for at in range(inst.over_ptr[run], inst.over_ptr[run + 1]):
        if inst.good_run[inst.over_good[at]] >= 0 and _there(inst, timing, at, shots) >= NEVER:
            return True
    return False


@inner
def there_for_mould(inst: Instance, timing: Timing, run: int, shots: int) -> int:
    """When all that so many shots take is there, beside what lots that began before take; parts from lots that have no
    place yet are left out."""
    moment = 0
    for at in range(inst.over_ptr[run], inst.over_ptr[run + 1]):
        there = _there(inst, timing, at, shots)
        if there < NEVER or inst.good_run[inst.over_good[at]] < 0:
            moment = max(moment, there)
    return int(moment)


@inner
def _there(inst: Instance, timing: Timing, at: int, shots: int) -> int:
    """When what so many shots take of one good is there, NEVER if not from what has its place."""
    g = inst.over_good[at]
    total = inst.over_total[g]
    # shots beyond the plan's, which turn out to be needed, find theirs there
    asked = min(timing.into_moulds[g] + shots * inst.over_number[at], total)
    need = need_of(inst, g, asked - total)  # what moulds take stands in no stock of the benches
    if inst.good_run[g] < 0:
        return need
    if need <= 0:
        return -need
    if inst.several > 0 and inst.first_source[g] < inst.last_source[g]:
        return _of_several(inst, timing, g, need)
    left = need
    for n in range(timing.rows[1]):
        lot = timing.lots[n, w.ORDER]
        if inst.lot_run[timing.lots[lot, w.LOT]] == inst.good_run[g]:
            if timing.lots[lot, w.SHOTS] >= left:
                rested = int(shot_done(inst, timing, inst.good_run[g], lot, left) + inst.good_rest_s[g])
                return int(back_from(inst, g, rested)) if inst.sent_out > 0 else rested
            left -= timing.lots[lot, w.SHOTS]
    return NEVER


@inner
def _of_several(inst: Instance, timing: Timing, g: int, parts: int) -> int:
    """When so many parts that several tools make are there (rested, brought), NEVER if not from what has its place."""
    lots = timing.lots
    low = high = 0
    for source in range(inst.first_source[g], inst.last_source[g]):
        for n in range(timing.rows[1]):
            lot = lots[n, w.ORDER]
            if inst.lot_run[lots[lot, w.LOT]] == inst.good_run[source]:
                high = max(high, lots[lot, w.END])
    if _placed_by(inst, timing, g, high) < parts:
        return NEVER
    while high - low > 1:
        middle = (low + high) >> 1
        if _placed_by(inst, timing, g, middle) < parts:
            low = middle
        else:
            high = middle
    rested = int(high + inst.good_rest_s[g])
    return int(back_from(inst, g, rested)) if inst.sent_out > 0 else rested


@inner
def _placed_by(inst: Instance, timing: Timing, g: int, moment: int) -> int:
    """Parts counted on by a moment from lots that have their place, of all tools that make the good."""
    lots = timing.lots
    found = 0
    for source in range(inst.first_source[g], inst.last_source[g]):
        shots = 0
        for n in range(timing.rows[1]):
            lot = lots[n, w.ORDER]
            if inst.lot_run[lots[lot, w.LOT]] == inst.good_run[source]:
                shots += shots_by(inst, timing, lot, moment)
        asked = inst.good_count_shots[source]
        found += min(shots, asked) * inst.good_need[source] // asked
    return int(found)

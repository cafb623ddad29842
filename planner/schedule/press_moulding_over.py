"""Runs that are moulded over parts and pieces: a lot takes all it needs as it begins, in order of start (RULES.md, O2).

Parts are there shot by shot, rested, and brought to the press where they are moulded elsewhere. A lot for which too few
have been given their place yet is held back, and looked at again whenever a lot has been placed.
"""

from planner.schedule import timing as w
from planner.schedule.bench_parts import back_from, need_of
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
    left = need
    for n in range(timing.rows[1]):
        lot = timing.lots[n, w.ORDER]
        if inst.lot_run[timing.lots[lot, w.LOT]] == inst.good_run[g]:
            if timing.lots[lot, w.SHOTS] >= left:
                rested = int(shot_done(inst, timing, lot, left) + inst.good_rest_s[g])
                return int(back_from(inst, g, rested)) if inst.sent_out > 0 else rested
            left -= timing.lots[lot, w.SHOTS]
    return NEVER

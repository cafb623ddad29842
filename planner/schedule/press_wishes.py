"""Wishes of the maker (RULES.md, Y): which press waits for whom, and how much of the wishes a plan breaks.

Moments and orders across presses are kept by waiting. What no waiting can keep is counted, and each thing counted costs
so much that a plan which keeps every wish is better than any that does not.
"""

from planner.schedule import timing as w
from planner.schedule.instance import Instance
from planner.schedule.jit import inner
from planner.schedule.press_moulding_over import short_of_parts, there_for_mould
from planner.schedule.sequences import Sequences
from planner.schedule.timing import Timing

TO_COME, DONE_AT = range(2)

HOUR = 3600.0


@inner
def begin_wishes(inst: Instance, plan: Sequences, timing: Timing) -> None:
    """All lots are still to come."""
    wishes = timing.wishes
    for run in range(wishes.shape[1]):
        wishes[TO_COME, run] = 0
        wishes[DONE_AT, run] = 0
    for p in range(plan.length.size):
        for n in range(plan.length[p]):
            wishes[TO_COME, inst.lot_run[plan.seq[p, n]]] += 1


@inner
def held_back(inst: Instance, timing: Timing, p: int, lot: int) -> bool:
    """Whether press p's next lot has to wait for a run that is not done yet, or for parts that have no moment yet."""
    run = inst.lot_run[lot]
    for other in range(inst.run_after.shape[1]):
        if inst.run_after[run, other] and timing.wishes[TO_COME, other] > 0:
            return True
    if inst.over_good.size == 0 or timing.presses[p, w.ROW] >= 0:  # what is left of a lot took all at its begin
        return False
    return short_of_parts(inst, timing, run, inst.lot_shots[lot])


@inner
def wished_moment(inst: Instance, timing: Timing, p: int, lot: int) -> int:
    """The moment before which press p's next lot must not begin."""
    run = inst.lot_run[lot]
    moment = inst.run_from[run]
    if inst.over_good.size > 0 and timing.presses[p, w.ROW] < 0:
        moment = max(moment, there_for_mould(inst, timing, run, inst.lot_shots[lot]))
    for other in range(inst.run_after.shape[1]):
        if inst.run_after[run, other]:
            moment = max(moment, timing.wishes[DONE_AT, other] + inst.after_rest[run, other])
    return int(moment)


@inner
def lot_done(inst: Instance, timing: Timing, run: int, moment: int) -> None:
    """A lot of a run is done; presses that wait for it look again."""
    wishes, presses = timing.wishes, timing.presses
    wishes[TO_COME, run] -= 1
    wishes[DONE_AT, run] = max(wishes[DONE_AT, run], moment)
    if wishes[TO_COME, run] == 0:
        for p in range(presses.shape[0]):
            presses[p, w.STALE] = 1


@inner
def count_broken(inst: Instance, plan: Sequences, timing: Timing) -> None:
    """Add to the totals what the plan breaks, beside what began before its time: hours too late and one each time,
    pairs in the wrong order, and lots that stand between or apart."""
    seq, length, lots = plan.seq, plan.length, timing.lots
    broken = 0.0
    for p in range(length.size):
        for n in range(length[p]):
            lot = seq[p, n]
            run = inst.lot_run[lot]
            late = lots[lot, w.END] - inst.run_until[run]
            if late > 0:
                broken += 1.0 + late / HOUR
            for m in range(n):
                if inst.run_ahead[p, run, inst.lot_run[seq[p, m]]]:
                    broken += 1.0
    for wish in range(inst.together.shape[0]):
        number = most = 0
        for p in range(length.size):
            first = last = -1
            here = 0
            for n in range(length[p]):
                if inst.together[wish, inst.lot_run[seq[p, n]]]:
                    first = n if first < 0 else first
                    last = n
                    here += 1
            if here > 0:
                broken += last - first + 1 - here
                number += here
                most = max(most, here)
        broken += number - most
    timing.totals[w.BROKEN] += broken

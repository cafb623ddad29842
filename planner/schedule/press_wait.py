"""When it can pay to let a press stand until one of its next openings: a restart saved, or a warm-up shared.

A lot that is the first work of a stretch pays its warm-up, perhaps for little; one that is cut by a closing pays a
restart. Begun with a later opening it may pay neither, or share the warm-up with a lot that can come no sooner. Where a
lot finds the press warm and ends in that stretch, waiting saves nothing: what comes after it could wait instead. But
where it follows a lot of its own demand it needs no setter: begun with the next opening it warms the press up for what
comes after it, which would pay a setter who stands by.
"""

from planner.schedule import timing as w
from planner.schedule.instance import Instance
from planner.schedule.jit import inner
from planner.schedule.press_operators import worked_until
from planner.schedule.timing import Timing

MOST_WAITS = 3
"""Openings a lot may wait for, from the first after the one at which it could begin."""


@inner
def may_save(inst: Instance, timing: Timing, p: int, lot: int, wait: int) -> bool:
    """Whether waiting for the opening `wait` after the one found by `next_start` could save anything."""
    presses = timing.presses
    k = presses[p, w.AT]
    if k + wait >= inst.open_ptr[p + 1]:
        return False
    run = inst.lot_run[lot]
    begin = presses[p, w.BEGIN]
    overhead = inst.restart_s[p] + inst.startup_s[p, run]
    if presses[p, w.HOT] != k:
        return True  # pays a warm-up here, which it could share with what comes later
    if presses[p, w.CHANGE] < 0:
        return True
    work = (inst.lot_shots[lot] * inst.shot_num[p, run] + inst.shot_den[p, run] - 1) // inst.shot_den[p, run]
    change = presses[p, w.CHANGE] if presses[p, w.CHANGE] >= 0 else 0
    closing = inst.closing_s[p, run]
    end = worked_until(inst, k, run, closing)
    return bool(
        begin + change + work + closing > end and (overhead > 0 or inst.startup_shots[run] > 0 or inst.clearing != 0)
    )

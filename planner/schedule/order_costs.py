"""What the order of the only press costs by itself, read off the plan the chain stands on: changeovers from each lot to
each, and from when on a lot that ends later costs what.

Why: it turns any campaign on one press into the plain problem of `press_order.py`. What a lot waits for beside set-ups
and moulding, and what the barrel it leaves alone holds, is taken as in that plan.
"""

from planner.schedule import delta_tables as g
from planner.schedule.delay_cost import OrderCosts
from planner.schedule.delta_estimate import enter, held, to_working
from planner.schedule.delta_tables import DeltaTables
from planner.schedule.instance import Floats, Instance
from planner.schedule.jit import entry, inner
from planner.schedule.sequences import Sequences

MOST_BREAKPOINTS = 1 + 2 * g.BREAKPOINTS
"""Breakpoints of a lot, at most."""


@entry
def order_costs(inst: Instance, plan: Sequences, delta: DeltaTables, pinned: int, costs: OrderCosts) -> float:
    """Fill in the costs of the n lots of the only press behind its pinned ones; at and by have room for n *
    MOST_BREAKPOINTS.

    delta: of the plan. Returns when the first lot may begin, in working seconds.
    """
    seq, lots, marks, press, axis = plan.seq, delta.lots, delta.marks, delta.presses, delta.axis
    seconds, money, dear, own = costs.seconds, costs.money, costs.dear, costs.own
    ptr, at, by = costs.ptr, costs.at, costs.by
    n = own.size
    begin = marks[seq[0, pinned - 1], g.X_END] if pinned > 0 else 0.0
    for a in range(n + 1):
        behind = seq[0, pinned - 1] if a == n and pinned > 0 else -1
        if a < n:
            behind = seq[0, pinned + a]
        tool, melt, melt_2 = held(inst, delta, 0, behind)
        for b in range(n):
            run = inst.lot_run[seq[0, pinned + b]]
            seconds[a, b], money[a, b] = enter(inst, delta, 0, run, tool, melt, melt_2)
    a_second = (axis[0, axis.shape[1] - 1] - axis[0, 0]) / (press[0, g.STEP] * (axis.shape[1] - 1))
    number = 0
    x = begin
    steepest = 0.0
    for a in range(n):
        lot = seq[0, pinned + a]
        own[a] = marks[lot, g.X_END] - x - seconds[a - 1 if a > 0 else n, a]
        x = marks[lot, g.X_END]
        ptr[a] = number
        end = marks[lot, g.WALL_END]
        for k in range(lots[lot, g.EARLIER_N]):
            moment = to_working(delta, 0, end - marks[lot, g.EARLIER_AT + k])
            number = _breakpoint(at, by, ptr[a], number, moment, marks[lot, g.LESS + k] * a_second)
        number = _breakpoint(at, by, ptr[a], number, x, -marks[lot, g.EARLIER] * a_second)
        for k in range(lots[lot, g.LATER_N]):
            moment = x
            if marks[lot, g.LATER_AT + k] > 0.0:
                moment = to_working(delta, 0, end + marks[lot, g.LATER_AT + k])
            number = _breakpoint(at, by, ptr[a], number, moment, marks[lot, g.LATER + k] * a_second)
        number = _without_flat(at, by, ptr[a], number)
        for k in range(ptr[a], number):
            steepest += by[k]
    ptr[n] = number
    for a in range(n + 1):
        for b in range(n):
            dear[a, b] = money[a, b] + max(steepest, 1e-9) * seconds[a, b]
    return float(begin)


@inner
def _breakpoint(at: Floats, by: Floats, first: int, number: int, moment: float, slope: float) -> int:
    """Sort one breakpoint in among those of its lot; how many there are then, of all lots."""
    k = number
    while k > first and at[k - 1] > moment:
        k -= 1
    if k > first and at[k - 1] == moment:
        by[k - 1] += slope
        return number
    for m in range(number, k, -1):
        at[m], by[m] = at[m - 1], by[m - 1]
    at[k], by[k] = moment, slope
    return number + 1


@inner
def _without_flat(at: Floats, by: Floats, first: int, number: int) -> int:
    """Drop breakpoints that cancelled each other out."""
    kept = first
    for k in range(first, number):
        if abs(by[k]) > 1e-12:
            at[kept], by[kept] = at[k], by[k]
            kept += 1
    return kept

"""Lateness of all batches together: benches, shots and press hours that are too few for all that should leave.

Why: lots that only one press can make are late together, though each could be in time. XS, seed 16, from its optimum
on: 2.84 million branches in 12.6 and 13.6 s without press hours, 1.18 million in 7.4 and 6.1 s with them (two runs,
processor time, busy machine).
"""

from planner.schedule import timing as w
from planner.schedule.branch_and_bound.lagrangian import FREE, SINCE, WHAT, lagrangian_bound
from planner.schedule.branch_and_bound.path_bounds import position
from planner.schedule.branch_and_bound.path_state import LOT, PICKUPS, SAFE_KG
from planner.schedule.branch_and_bound.records import Branching
from planner.schedule.instance import NEVER, Instance
from planner.schedule.jit import inner
from planner.schedule.timing import Timing

MOST_STRETCHES = 2
"""Stretches of press hours looked at for a pick-up: seed 16 took 1.50 million branches with one, 1.21 million with
eight."""

SHARES = 4
A_PART, PRESS, ENDS, BEGINS = range(SHARES)
"""Of a run: press seconds a part takes, the press that alone can make it (-1: nothing is left, P: several can), and 1
where stretches of press hours end and begin with it."""


@inner
def capacity_bound(inst: Instance, timing: Timing, tables: Branching, n: int, moment: int, enough: float) -> float:
    """Lateness beyond that of each batch alone: what leaves with a pick-up shares both benches and each run's shots.

    For each pick-up the worth of what cannot leave with it, batches cut as one likes: by the resource that binds most,
    and by all that bind together. moment: no lot still to come begins before it.
    """
    sent, made, marks = tables.sent, tables.made, tables.marks
    own_ptr, own, standing, stack = tables.own_ptr, tables.own, tables.standing, tables.stack
    room, asked, a_shot, shots_by, tight = tables.room, tables.asked, tables.a_shot, tables.shots_by, tables.tight
    since_0, since_1 = position(tables.hours, 0, moment), position(tables.hours, 1, moment)
    batches = sent.shape[1]
    first, farthest = marks[PICKUPS], 0
    for b in range(batches):
        first, farthest = min(first, sent[n, b]), max(farthest, sent[n, b])
        for i in range(own_ptr[b], own_ptr[b + 1]):
            if own[i, 1] > made[n, own[i, 0]]:  # a shot that is still to come
                standing[n + 1, 0, b] = max(standing[n, 0, b], since_0)
                standing[n + 1, 1, b] = max(standing[n, 1, b], since_1)
                break
        else:
            standing[n + 1, 0, b], standing[n + 1, 1, b] = standing[n, 0, b], standing[n, 1, b]
    money = 0.0
    for k in range(first, marks[PICKUPS]):
        number = 0
        alone = 0.0
        for what in range(3):
            side = 0 if what < 2 else 1
            seen = -2.0
            worst = 0.0
            for turn in range(batches if what > 0 else 1):
                since = standing[n + 1, side, turn] if what > 0 else -1.0
                if what > 0 and (sent[n, turn] > k or since == seen):
                    continue
                seen = since
                free = room[side, k] - max(since, room[side, marks[PICKUPS]])
                out = _left_out(tables, n, k, what, free, side, since)
                if out > worst:
                    worst = out
                    tight[number, WHAT], tight[number, FREE], tight[number, SINCE] = what, free, since
            if worst > 0.0:
                number += 1
                alone = max(alone, worst)
        for run in range(asked.shape[0]):
            shots_by[run] = 0.0
        for depth in range(1, n + 1):
            lot = stack[depth, LOT]
            run = inst.lot_run[lot]
            shots_by[run] += _shots_by(inst, timing, lot, tables.lasts[run, k])
        number = _press_hours(inst, tables, n, k, number)
        for run in range(asked.shape[0]):
            whole = inst.run_shots[run]
            if made[n, run] < whole:
                for p in range(a_shot.shape[0]):
                    if a_shot[p, run] > 0.0:
                        more = tables.until_run[run, k, p] - max(tables.scratch[0, p], tables.ready[p, run])
                        shots_by[run] += max(0.0, more + 2.0) / a_shot[p, run]
            if shots_by[run] < whole and asked[run, 1] > 0.0:
                free = asked[run, 0] + shots_by[run] * asked[run, 1] + SAFE_KG
                out = _left_out(tables, n, k, 3 + run, free, 0, -1.0)
                alone = max(alone, out)
                if out > 0.0:
                    tight[number, WHAT], tight[number, FREE], tight[number, SINCE] = 3 + run, free, -1.0
                    number += 1
        money += max(alone, lagrangian_bound(tables, n, k, number, enough - money))
        if money >= enough or (k >= farthest and number == 0):
            break
    return float(money)


@inner
def _press_hours(inst: Instance, tables: Branching, n: int, k: int, number: int) -> int:
    """Add to `tight` the press hours that are too few for all batches that should leave with pick-up k.

    Hours between two moments on one press, for runs that it alone can still make, not sooner and not later; and the
    hours of all presses.

    A batch takes of a shot its time, and of the entry into its run what falls on it if all that is left is made.
    """
    made, asked, weight, a_shot = tables.made, tables.asked, tables.weight, tables.a_shot
    until_run, scratch, ready, shots_by = tables.until_run, tables.scratch, tables.ready, tables.shots_by
    sent, penalty, tight, shares = tables.sent, tables.penalty, tables.tight, tables.shares
    runs, many = asked.shape[0], a_shot.shape[0]
    for run in range(runs):
        shares[PRESS, run] = -1
        unmade = inst.run_shots[run] - made[n, run]
        if unmade <= 0 or asked[run, 1] <= 0.0:
            continue
        fewest = NEVER * 1.0
        for p in range(many):
            if a_shot[p, run] > 0.0 and scratch[0, p] < NEVER:
                shares[PRESS, run] = p if shares[PRESS, run] == -1 else many
                enter = tables.least_s[p, run] if tables.last[n, p] != tables.last_of[p, run] else 0.0
                fewest = min(fewest, a_shot[p, run] + enter / unmade)
        shares[A_PART, run] = fewest / asked[run, 1]
    row = 3 + runs
    for one in range(many + (1 if many > 1 else 0)):
        _ends(tables, one, k)
        for tail in range(runs):
            for head in range(runs):
                if shares[ENDS, tail] == 0.0 or shares[BEGINS, head] == 0.0:
                    continue
                if row == weight.shape[0]:
                    return number
                until, begin = NEVER * 1.0, -1.0
                free = 2.0
                if one < many:
                    until, begin = until_run[tail, k, one], max(scratch[0, one], ready[one, head])
                    free += max(0.0, until - begin)
                else:
                    for p in range(many):
                        hours = 0.0
                        for run in range(runs):
                            if shares[PRESS, run] >= 0 and a_shot[p, run] > 0.0:
                                since = max(scratch[0, p], ready[p, run])
                                hours = max(hours, until_run[run, k, p] - since + 2.0)
                        free += hours
                for b in range(weight.shape[1]):
                    weight[row, b] = 0.0
                for run in range(runs):
                    if shares[PRESS, run] == -1:
                        continue
                    if one < many and (
                        shares[PRESS, run] != one
                        or until_run[run, k, one] > until
                        or max(scratch[0, one], ready[one, run]) < begin
                    ):
                        continue
                    a_part = shares[A_PART, run]
                    free += (asked[run, 0] + shots_by[run] * asked[run, 1] + SAFE_KG) * a_part
                    for b in range(weight.shape[1]):
                        weight[row, b] += weight[3 + run, b] * a_part
                excess = -free
                for b in range(weight.shape[1]):
                    if sent[n, b] <= k and penalty[b, k + 1] > penalty[b, k]:
                        excess += weight[row, b]
                if excess > 0.0:
                    tight[number, WHAT], tight[number, FREE], tight[number, SINCE] = row, free, -1.0
                    number += 1
                    row += 1
    return number


@inner
def _ends(tables: Branching, one: int, k: int) -> None:
    """Mark the runs at whose moments stretches of press `one` end and begin: of several with the same, the first; of
    all presses together any run."""
    shares, until_run, scratch, ready = tables.shares, tables.until_run, tables.scratch, tables.ready
    runs = shares.shape[1]
    many = ready.shape[0]
    for run in range(runs):
        shares[ENDS, run] = shares[BEGINS, run] = 0.0
        if shares[PRESS, run] == -1 or (one < many and shares[PRESS, run] != one):
            continue
        shares[ENDS, run] = shares[BEGINS, run] = 1.0
        for other in range(run):
            if one == many:
                if shares[ENDS, other] != 0.0:
                    shares[ENDS, run] = shares[BEGINS, run] = 0.0
            elif shares[PRESS, other] == one:
                if until_run[other, k, one] == until_run[run, k, one]:
                    shares[ENDS, run] = 0.0
                if max(scratch[0, one], ready[one, other]) == max(scratch[0, one], ready[one, run]):
                    shares[BEGINS, run] = 0.0


@inner
def _left_out(tables: Branching, n: int, k: int, what: int, free: float, side: int, since: float) -> float:
    """Worth of what a resource cannot let leave with pick-up k, of batches there from `since` on."""
    sent, penalty, weight, order = tables.sent, tables.penalty, tables.weight, tables.order
    out = 0.0
    for i in range(order.shape[2]):
        b = order[what, k, i]
        worth = penalty[b, k + 1] - penalty[b, k]
        if worth <= 0.0 or sent[n, b] > k or tables.standing[n + 1, side, b] < since:
            continue
        asked = weight[what, b]
        if asked <= free:
            free -= asked
        else:
            out += worth * (1.0 - max(0.0, free) / asked)
            free = 0.0
    return out


@inner
def _shots_by(inst: Instance, timing: Timing, lot: int, moment: int) -> float:
    """Shots of a lot that are done by a moment."""
    lots, pieces = timing.lots, timing.pieces
    p, run = lots[lot, w.PRESS], inst.lot_run[lot]
    if lots[lot, w.END] <= moment:
        return float(inst.lot_shots[lot])
    seconds = 0
    first = lots[lot, w.FIRST_PIECE]
    for piece in range(first, first + lots[lot, w.PIECES]):
        seconds += max(0, min(pieces[piece, w.WORK], moment - pieces[piece, w.BEGAN]))
    return float(seconds * inst.shot_den[p, run] // inst.shot_num[p, run])

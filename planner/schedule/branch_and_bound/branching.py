"""The compiled part of the proof: every plan of a small campaign, branch by branch, in the order in which lots begin.

Each branch puts a lot next on a press and times it as the evaluator would, so that its hours, changeovers and lateness
are known at once; what is left is bounded from below. The evaluator begins lots one after the other, so each plan is
one path: a lot that would have begun before one that is in place already belongs to another. A lot may also wait on
purpose for one of the next openings of its press, where that can save a restart (`press_wait.py`).

Why compiled, and in order of time: press by press in plain Python a branch knew nothing of lateness before its last
lot. 13 lots of ten runs (XS, seed 14) were 201 above the bound after 10 s; from the best plan on 4,200 branches leave
10: six leaves whose order of service stays open. When they took 36,000, they took 245,000 without the test for one path
a plan, and seed 7 50,000 instead of 7,000. Built cold in about 6 s.
"""

from planner.schedule import timing as w
from planner.schedule.branch_and_bound.capacity_bounds import capacity_bound
from planner.schedule.branch_and_bound.path_bounds import kept_over, late, lines, met
from planner.schedule.branch_and_bound.path_state import (
    BEGAN,
    BEGIN,
    BEGUN,
    DEPTH,
    FINISHED,
    FIXED,
    IN_ORDER,
    KINDS,
    LEAF,
    LEAST,
    LIMIT,
    LOT,
    MOST,
    NODES,
    ON,
    PIECE,
    PROMISED,
    RELEASE,
    SET,
    SHUT,
    TRIED,
    USED_UP,
    WAITS,
    keep,
    restore,
)
from planner.schedule.branch_and_bound.records import Branching, Rest
from planner.schedule.instance import NEVER, Instance
from planner.schedule.jit import entry
from planner.schedule.press_decoder import change, give_up, produce
from planner.schedule.press_start import next_start
from planner.schedule.press_wait import may_save
from planner.schedule.timing import Timing


@entry
def branch(inst: Instance, timing: Timing, tables: Branching) -> int:
    """Go on until MOST branches are looked at (USED_UP), a plan stands in the stack (LEAF) or all is FINISHED."""
    marks, amounts, stack, presses = tables.marks, tables.amounts, tables.stack, timing.presses
    kinds, last, last_of, left = tables.kinds, tables.last, tables.last_of, tables.left
    made, mask, sent, standing, begins = tables.made, tables.mask, tables.sent, tables.standing, tables.begins
    offsets, strides, base, unmade_kg = tables.offsets, tables.strides, tables.base, tables.unmade_kg
    lots, used, bought = timing.lots.shape[0], timing.used_kg, tables.bought
    number, many = marks[KINDS], presses.shape[0]
    runs = inst.run_tool.size
    if marks[BEGUN] == 0:
        marks[BEGUN] = 1
        keep(timing, tables, 0)
    d = marks[DEPTH]
    while d >= 0:
        if marks[NODES] >= marks[MOST]:
            marks[DEPTH] = d
            return USED_UP
        stack[d, TRIED] += 1
        tried = stack[d, TRIED]
        if d == lots or tried >= 2 * number * many * (marks[WAITS] + 1):
            d -= 1
            continue
        closes, tried = tried & 1, tried >> 1
        wait, tried = tried % (marks[WAITS] + 1), tried // (marks[WAITS] + 1)
        c, p = tried // many, tried % many
        if left[d, c] == 0 or tables.kind_fits[p, c] == 0 or (stack[d, SHUT] >> p) & 1 != 0:
            continue
        # a press that had a lot and not its last gets another one
        shut, promised = stack[d, SHUT], stack[d, PROMISED] & ~(1 << p)
        if closes != 0:
            shut |= 1 << p
        elif d + 1 < lots:
            promised |= 1 << p
        owed = 0
        for o in range(many):
            owed += (promised >> o) & 1
        remaining = lots - d - 1
        if owed > remaining or (closes != 0 and remaining == 0):
            continue
        run = kinds[c]
        done = tables.kept_ints[d, p * w.PRESS_COLUMNS + w.DONE]
        if done < tables.pinned[p, 0] and tables.pinned[p, 1 + done] != c:
            continue
        if mask[d, p] & tables.clashing[run] != 0:
            continue
        # what it would take at the least, before it is timed
        at = offsets[shut, many] + (stack[d, SET] - strides[c]) * offsets[shut, many + 1]
        for o in range(many):
            at += (last_of[p, run] if o == p else last[d, o]) * offsets[shut, o]
        if base[d] + tables.into[p, last[d, p], c] + tables.rest[at] >= amounts[LIMIT]:
            continue
        marks[NODES] += 1
        lot = tables.kind_lots[kinds[number + c] - left[d, c]]
        if marks[WAITS] > 0:
            inst.lot_release[lot] = 0
        if wait > 0:
            restore(timing, tables, d)
            if not next_start(inst, timing, p, lot) or not may_save(inst, timing, p, lot, wait):
                continue
            inst.lot_release[lot] = inst.open_start[presses[p, w.AT] + wait]
        restore(timing, tables, d)
        if not next_start(inst, timing, p, lot):
            continue
        begin, opening = presses[p, w.BEGIN], presses[p, w.AT]
        opens, put_off = marks[WAITS] > 0 and begin == inst.open_start[opening], False
        # Whoever began since this press was last served could begin sooner, or as soon with a lower number. What begins
        # with a later opening of its press than it then could has waited for that on purpose: that is no turn left out.
        e = d - 1
        served = True
        while served and e >= 0 and stack[e + 1, ON] != p:
            restore(timing, tables, e)
            served = next_start(inst, timing, p, lot)
            sooner = stack[e + 1, BEGIN]
            ahead = presses[p, w.BEGIN] < sooner or (presses[p, w.BEGIN] == sooner and p < stack[e + 1, ON])
            if ahead and opens and presses[p, w.AT] < opening:
                put_off = True
            elif ahead:
                served = False
            e -= 1
        if not served:
            continue
        if put_off:
            inst.lot_release[lot] = begin
        restore(timing, tables, d)
        if not next_start(inst, timing, p, lot):
            continue
        if marks[IN_ORDER] != 0 and begin < stack[d, BEGAN]:
            continue
        now = change(inst, timing, p, lot)
        piece = produce(inst, timing, p, lot, now, stack[d, PIECE])
        if piece < 0:
            continue
        give_up(inst, timing, p, inst.run_tool[run])
        n = d + 1
        stack[n, SET] = stack[d, SET] - strides[c]
        stack[n, SHUT], stack[n, PROMISED] = shut, promised
        for o in range(many):
            last[n, o] = last_of[p, run] if o == p else last[d, o]
        stack[n, BEGAN], stack[n, BEGIN] = max(begin, stack[d, BEGAN]), begin
        since = stack[n, BEGAN] if marks[IN_ORDER] != 0 else 0
        for m in range(bought.size):
            unmade_kg[n, m] = unmade_kg[d, m] - tables.lot_kg[c, m]
        least = amounts[FIXED] + tables.rest[at]
        least += lines(inst, timing.totals)
        for o in range(many):
            hot = presses[o, w.HOT]
            if hot >= 0 and (shut >> o) & 1 == 0 and remaining > 0:
                ahead = inst.open_end[hot] - presses[o, w.FREE]
                if ahead > 0:
                    least -= tables.warm[o] * ahead
        for m in range(bought.size):
            least += kept_over(inst, bought[m], used[bought[m]] + unmade_kg[n, m])
        if least >= amounts[LIMIT]:
            continue
        for k in range(number):
            left[n, k] = left[d, k]
        left[n, c] -= 1
        for r in range(runs):
            made[n, r] = made[d, r]
        made[n, run] += inst.lot_shots[lot]
        for b in range(sent.shape[1]):
            sent[n, b] = sent[d, b]
            standing[n, 0, b], standing[n, 1, b] = standing[d, 0, b], standing[d, 1, b]
        for job in range(begins.shape[1]):
            begins[n, job] = begins[d, job]
        met(inst, timing, tables, n, lot)
        least += late(inst, timing, tables, n, since, shut)
        if least >= amounts[LIMIT]:
            continue
        stack[n, LOT], stack[n, ON], stack[n, PIECE] = lot, p, piece
        stack[n, RELEASE] = inst.lot_release[lot] if marks[WAITS] > 0 else 0
        least += capacity_bound(inst, timing, tables, n, since, amounts[LIMIT] - least)
        if least >= amounts[LIMIT]:
            continue
        stack[n, TRIED] = -1
        base[n] = least - tables.rest[at]
        for o in range(many):
            mask[n, o] = mask[d, o]
        mask[n, p] |= 1 << run
        d = n
        if d == lots:
            marks[DEPTH] = d
            amounts[LEAST] = least
            return LEAF
        keep(timing, tables, d)
    marks[DEPTH] = d
    return FINISHED


@entry
def fill_rest(table: Rest, offset: int, begin: int, end: int) -> None:
    """The least it takes to place what is left, set by set, from `begin` to `end`; the table begins at `offset`."""
    rest, totals, strides, last = table.rest, table.totals, table.strides, table.last
    into, target, widths = table.into, table.target, table.widths
    lasts = last.shape[0]
    for chosen in range(begin, end):
        for at in range(lasts):
            best = 0.0 if chosen == 0 else float(NEVER)
            for c in range(totals.size):
                if chosen // strides[c] % (totals[c] + 1) == 0:
                    continue
                before = offset + (chosen - strides[c]) * lasts + at
                for p in range(widths.size):
                    if widths[p] != 0 and target[p, c] >= 0:
                        q = last[at, p]
                        best = min(best, into[p, q, c] + rest[before + (target[p, c] - q) * widths[p]])
            rest[offset + chosen * lasts + at] = best

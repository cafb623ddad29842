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
from planner.schedule.jit import entry, inner
from planner.schedule.press_decoder import change, give_up, produce
from planner.schedule.press_start import next_start
from planner.schedule.press_wait import may_save
from planner.schedule.timing import Timing


@entry
def branch(inst: Instance, timing: Timing, tables: Branching) -> int:
    """Go on until MOST branches are looked at (USED_UP), a plan stands in the stack (LEAF) or all is FINISHED."""
    marks, amounts, stack, presses = tables.marks, tables.amounts, tables.stack, timing.presses
    lots, number, many = timing.lots.shape[0], marks[KINDS], presses.shape[0]
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
        if not _fits(tables, d, c, p):
            continue
        promised = _promised(tables, d, p, closes, lots - d - 1)
        if promised < 0:
            continue
        shut = stack[d, SHUT] | (closes << p)
        # what it would take at the least, before it is timed
        at = _place_of_rest(tables, d, c, p, shut)
        if tables.base[d] + tables.into[p, tables.last[d, p], c] + tables.rest[at] >= amounts[LIMIT]:
            continue
        marks[NODES] += 1
        lot = tables.kind_lots[tables.kinds[number + c] - tables.left[d, c]]
        if not _in_turn(inst, timing, tables, d, p, lot, wait):
            continue
        begin = presses[p, w.BEGIN]
        if marks[IN_ORDER] != 0 and begin < stack[d, BEGAN]:
            continue
        now = change(inst, timing, p, lot)
        piece = produce(inst, timing, p, lot, now, stack[d, PIECE])
        if piece < 0:
            continue
        give_up(inst, timing, p, inst.run_tool[inst.lot_run[lot]])
        n = d + 1
        stack[n, SHUT], stack[n, PROMISED] = shut, promised
        stack[n, BEGAN], stack[n, BEGIN] = max(begin, stack[d, BEGAN]), begin
        since = stack[n, BEGAN] if marks[IN_ORDER] != 0 else 0
        least = _least(inst, timing, tables, n, c, p, at)
        if least >= amounts[LIMIT]:
            continue
        _hand_on(tables, n, c, inst.lot_shots[lot])
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
        tables.base[n] = least - tables.rest[at]
        for o in range(many):
            tables.mask[n, o] = tables.mask[d, o]
        tables.mask[n, p] |= 1 << tables.kinds[c]
        d = n
        if d == lots:
            marks[DEPTH] = d
            amounts[LEAST] = least
            return LEAF
        keep(timing, tables, d)
    marks[DEPTH] = d
    return FINISHED


@inner
def _fits(tables: Branching, d: int, c: int, p: int) -> bool:
    """Whether a lot of kind c is left that may go next on press p."""
    if tables.left[d, c] == 0 or tables.kind_fits[p, c] == 0 or (tables.stack[d, SHUT] >> p) & 1 != 0:
        return False
    done = tables.kept_ints[d, p * w.PRESS_COLUMNS + w.DONE]
    if done < tables.pinned[p, 0] and tables.pinned[p, 1 + done] != c:
        return False
    return bool(tables.mask[d, p] & tables.clashing[tables.kinds[c]] == 0)


@inner
def _promised(tables: Branching, d: int, p: int, closes: int, remaining: int) -> int:
    """The presses that had a lot and not their last, each of which gets another, once press p has this one; -1 where
    fewer lots remain than they need, or where it closes with the last of all, which says nothing more."""
    promised = tables.stack[d, PROMISED] & ~(1 << p)
    if closes == 0 and remaining > 0:
        promised |= 1 << p
    owed, rest = 0, promised
    while rest > 0:
        owed += rest & 1
        rest >>= 1
    return -1 if owed > remaining or (closes != 0 and remaining == 0) else promised


@inner
def _place_of_rest(tables: Branching, d: int, c: int, p: int, shut: int) -> int:
    """Where the table says what is left after it takes at the least."""
    offsets, last, run = tables.offsets, tables.last, tables.kinds[c]
    many = last.shape[1]
    at = offsets[shut, many] + (tables.stack[d, SET] - tables.strides[c]) * offsets[shut, many + 1]
    for o in range(many):
        at += (tables.last_of[p, run] if o == p else last[d, o]) * offsets[shut, o]
    return int(at)


@inner
def _in_turn(inst: Instance, timing: Timing, tables: Branching, d: int, p: int, lot: int, wait: int) -> bool:
    """Whether press p can begin the lot next, so that each plan is one path; the press then stands at its begin.

    Whoever began since this press was last served could begin sooner, or as soon with a lower number: a turn was left
    out. What begins with a later opening of its press than it then could has waited for that on purpose.
    """
    marks, stack, presses = tables.marks, tables.stack, timing.presses
    if marks[WAITS] > 0:
        inst.lot_release[lot] = 0
    if wait > 0:
        restore(timing, tables, d)
        if not next_start(inst, timing, p, lot) or not may_save(inst, timing, p, lot, wait):
            return False
        inst.lot_release[lot] = inst.open_start[presses[p, w.AT] + wait]
    restore(timing, tables, d)
    if not next_start(inst, timing, p, lot):
        return False
    begin, opening = presses[p, w.BEGIN], presses[p, w.AT]
    opens, put_off = marks[WAITS] > 0 and begin == inst.open_start[opening], False
    e = d - 1
    while e >= 0 and stack[e + 1, ON] != p:
        restore(timing, tables, e)
        if not next_start(inst, timing, p, lot):
            return False
        sooner = stack[e + 1, BEGIN]
        if presses[p, w.BEGIN] < sooner or (presses[p, w.BEGIN] == sooner and p < stack[e + 1, ON]):
            if not opens or presses[p, w.AT] >= opening:
                return False
            put_off = True
        e -= 1
    if put_off:
        inst.lot_release[lot] = begin
    restore(timing, tables, d)
    return bool(next_start(inst, timing, p, lot))


@inner
def _least(inst: Instance, timing: Timing, tables: Branching, n: int, c: int, p: int, at: int) -> float:
    """What the path costs at the least so far, lateness apart: its lines, what is left, what whole bags leave over.

    Puts down at depth n which set is left, the last run of each press and what is still to be made."""
    stack, presses, last, bought = tables.stack, timing.presses, tables.last, tables.bought
    remaining, shut = timing.lots.shape[0] - n, stack[n, SHUT]
    stack[n, SET] = stack[n - 1, SET] - tables.strides[c]
    for o in range(presses.shape[0]):
        last[n, o] = tables.last_of[p, tables.kinds[c]] if o == p else last[n - 1, o]
    for m in range(bought.size):
        tables.unmade_kg[n, m] = tables.unmade_kg[n - 1, m] - tables.lot_kg[c, m]
    least = tables.amounts[FIXED] + tables.rest[at]
    least += lines(inst, timing.totals)
    for o in range(presses.shape[0]):
        hot = presses[o, w.HOT]
        if hot >= 0 and (shut >> o) & 1 == 0 and remaining > 0:
            ahead = inst.open_end[hot] - presses[o, w.FREE]
            if ahead > 0:
                least -= tables.warm[o] * ahead
    for m in range(bought.size):
        least += kept_over(inst, bought[m], timing.used_kg[bought[m]] + tables.unmade_kg[n, m])
    return float(least)


@inner
def _hand_on(tables: Branching, n: int, c: int, shots: int) -> None:
    """To depth n what stood before it, with a lot of kind c taken and its shots made."""
    left, made, sent, standing, begins = tables.left, tables.made, tables.sent, tables.standing, tables.begins
    for k in range(left.shape[1]):
        left[n, k] = left[n - 1, k]
    left[n, c] -= 1
    for r in range(made.shape[1]):
        made[n, r] = made[n - 1, r]
    made[n, tables.kinds[c]] += shots
    for b in range(sent.shape[1]):
        sent[n, b] = sent[n - 1, b]
        standing[n, 0, b], standing[n, 1, b] = standing[n - 1, 0, b], standing[n - 1, 1, b]
    for job in range(begins.shape[1]):
        begins[n, job] = begins[n - 1, job]


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

"""The compiled part of the proof: every plan of a small campaign, branch by branch, in the order in which lots begin.

Each branch puts a lot next on a press and times it as the evaluator would, so that its hours, changeovers and lateness
are known at once; what is left is bounded from below. The evaluator begins lots one after the other, so each plan is
one path: a lot that would have begun before one that is in place already belongs to another.

Why compiled, and in order of time: press by press in plain Python a branch knew nothing of lateness before its last
lot. 13 lots of ten runs (XS, seed 14) were 201 above the bound after 10 s; from the best plan on 4,200 branches leave
10: six leaves whose order of service stays open. When they took 36,000, they took 245,000 without the test for one path
a plan, and seed 7 50,000 instead of 7,000. Built cold in about 6 s.
"""

from planner.schedule import tape as t
from planner.schedule import timing as w
from planner.schedule.instance import NEVER, Floats, Ints
from planner.schedule.jit import entry
from planner.schedule.press_start import next_start
from planner.schedule.press_time import change, produce
from planner.schedule.proof.branch_bounds import kept_over, late, lines, met, position
from planner.schedule.proof.branch_crowds import crowded
from planner.schedule.proof.branch_state import (
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
    SET,
    SHUT,
    TRIED,
    USED_UP,
    keep,
    restore,
)


@entry
def branch(
    ints: Ints, floats: Floats, marks: Ints, amounts: Floats,
    stack: Ints, presses: Ints, tools: Ints, setters: Ints, used: Floats, totals: Floats, lots: Ints, pieces: Ints,
    kept_ints: Ints, kept_floats: Floats,
    kinds: Ints, kind_lots: Ints, kind_fits: Ints, pinned: Ints, last_of: Ints, last: Ints, offsets: Ints,
    strides: Ints, left: Ints, made: Ints, mask: Ints, clashing: Ints, sent: Ints,
    rest: Floats, into: Floats, base: Floats, warm: Floats, lot_kg: Floats, unmade_kg: Floats, bought: Ints,
    need_ptr: Ints, needs: Ints, latest: Ints, own_ptr: Ints, own: Ints, penalty: Floats, until: Floats,
    gained: Floats, least_s: Floats, a_shot: Floats, sizes: Ints, ready: Floats, scratch: Floats,
    weight: Floats, order: Ints, room: Floats, bench: Floats, hours: Floats, standing: Floats, asked: Floats,
    until_run: Floats, lasts: Ints, shots_by: Floats, begins: Floats, by: Floats, tight: Floats, worths: Floats,
    shares: Floats,
) -> int:  # fmt: skip
    """Go on until MOST branches are looked at (USED_UP), a plan stands in the stack (LEAF) or all is FINISHED."""
    number, many = marks[KINDS], presses.shape[0]
    runs = ints[t.RUN_TOOL + 1] - ints[t.RUN_TOOL]
    if marks[BEGUN] == 0:
        marks[BEGUN] = 1
        keep(0, presses, tools, setters, used, totals, kept_ints, kept_floats)
    d = marks[DEPTH]
    while d >= 0:
        if marks[NODES] >= marks[MOST]:
            marks[DEPTH] = d
            return USED_UP
        stack[d, TRIED] += 1
        tried = stack[d, TRIED]
        if d == lots.shape[0] or tried >= 2 * number * many:
            d -= 1
            continue
        closes, tried = tried & 1, tried >> 1
        c, p = tried // many, tried % many
        if left[d, c] == 0 or kind_fits[p, c] == 0 or (stack[d, SHUT] >> p) & 1 != 0:
            continue
        # a press that had a lot and not its last gets another one
        shut, promised = stack[d, SHUT], stack[d, PROMISED] & ~(1 << p)
        if closes != 0:
            shut |= 1 << p
        elif d + 1 < lots.shape[0]:
            promised |= 1 << p
        owed = 0
        for o in range(many):
            owed += (promised >> o) & 1
        remaining = lots.shape[0] - d - 1
        if owed > remaining or (closes != 0 and remaining == 0):
            continue
        run = kinds[c]
        done = kept_ints[d, p * w.PRESS_COLUMNS + w.DONE]
        if done < pinned[p, 0] and pinned[p, 1 + done] != c:
            continue
        if mask[d, p] & clashing[run] != 0:
            continue
        # what it would take at the least, before it is timed
        at = offsets[shut, many] + (stack[d, SET] - strides[c]) * offsets[shut, many + 1]
        for o in range(many):
            at += (last_of[p, run] if o == p else last[d, o]) * offsets[shut, o]
        if base[d] + into[p, last[d, p], c] + rest[at] >= amounts[LIMIT]:
            continue
        marks[NODES] += 1
        lot = kind_lots[kinds[number + c] - left[d, c]]
        # whoever began since this press was last served could begin sooner, or as soon with a lower number
        e = d - 1
        served = True
        while served and e >= 0 and stack[e + 1, ON] != p:
            restore(e, presses, tools, setters, used, totals, kept_ints, kept_floats)
            served = next_start(ints, floats, p, lot, presses, tools, setters, used)
            sooner = stack[e + 1, BEGIN]
            if presses[p, w.BEGIN] < sooner or (presses[p, w.BEGIN] == sooner and p < stack[e + 1, ON]):
                served = False
            e -= 1
        if not served:
            continue
        restore(d, presses, tools, setters, used, totals, kept_ints, kept_floats)
        if not next_start(ints, floats, p, lot, presses, tools, setters, used):
            continue
        begin = presses[p, w.BEGIN]
        if marks[IN_ORDER] != 0 and begin < stack[d, BEGAN]:
            continue
        now = change(ints, floats, p, lot, lots, used, totals, presses, tools, setters)
        piece = produce(ints, floats, p, lot, now, stack[d, PIECE], lots, pieces, used, totals, presses)
        if piece < 0:
            continue
        tool = ints[ints[t.RUN_TOOL] + run]
        tools[tool, w.TOOL_FREE] = presses[p, w.FREE]
        for o in range(many):
            if o != p and presses[o, w.TOOL] == tool:
                presses[o, w.TOOL] = -1
        n = d + 1
        stack[n, SET] = stack[d, SET] - strides[c]
        stack[n, SHUT], stack[n, PROMISED] = shut, promised
        for o in range(many):
            last[n, o] = last_of[p, run] if o == p else last[d, o]
        stack[n, BEGAN], stack[n, BEGIN] = max(begin, stack[d, BEGAN]), begin
        since = stack[n, BEGAN] if marks[IN_ORDER] != 0 else 0
        for m in range(bought.size):
            unmade_kg[n, m] = unmade_kg[d, m] - lot_kg[c, m]
        least = amounts[FIXED] + rest[at]
        least += lines(floats, ints, totals)
        for o in range(many):
            hot = presses[o, w.HOT]
            if hot >= 0 and (shut >> o) & 1 == 0 and remaining > 0:
                ahead = ints[ints[t.OPEN_END] + hot] - presses[o, w.FREE]
                if ahead > 0:
                    least -= warm[o] * ahead
        for m in range(bought.size):
            least += kept_over(ints, floats, bought[m], used[bought[m]] + unmade_kg[n, m])
        if least >= amounts[LIMIT]:
            continue
        for k in range(number):
            left[n, k] = left[d, k]
        left[n, c] -= 1
        for r in range(runs):
            made[n, r] = made[d, r]
        made[n, run] += ints[ints[t.LOT_SHOTS] + lot]
        for b in range(sent.shape[1]):
            sent[n, b] = sent[d, b]
            standing[n, 0, b], standing[n, 1, b] = standing[d, 0, b], standing[d, 1, b]
        for job in range(begins.shape[1]):
            begins[n, job] = begins[d, job]
        met(
            ints, run, lot, p, made[d, run], made[n, run], lots, pieces, need_ptr, needs, latest, sent, n, marks,
            hours, bench, standing, begins,
        )  # fmt: skip
        least += late(
            ints, n, presses, since, shut, last, last_of, made, sent, own_ptr,
            own, penalty, until, gained, least_s, a_shot, sizes, ready, scratch, needs.shape[0], begins, by, marks,
        )  # fmt: skip
        if least >= amounts[LIMIT]:
            continue
        stack[n, LOT], stack[n, ON], stack[n, PIECE] = lot, p, piece
        least += crowded(
            ints, floats, n, stack, lots, pieces, made, sent, penalty, weight, order, room, standing,
            position(hours, bench, 0, since), position(hours, bench, 1, since),
            own_ptr, own, asked, until_run, lasts, a_shot, scratch, ready, shots_by, tight, worths, shares,
            least_s, last, last_of, marks, amounts[LIMIT] - least,
        )  # fmt: skip
        if least >= amounts[LIMIT]:
            continue
        stack[n, TRIED] = -1
        base[n] = least - rest[at]
        for o in range(many):
            mask[n, o] = mask[d, o]
        mask[n, p] |= 1 << run
        d = n
        if d == lots.shape[0]:
            marks[DEPTH] = d
            amounts[LEAST] = least
            return LEAF
        keep(d, presses, tools, setters, used, totals, kept_ints, kept_floats)
    marks[DEPTH] = d
    return FINISHED


@entry
def fill_rest(
    rest: Floats, offset: int, begin: int, end: int, totals: Ints, strides: Ints, last: Ints, into: Floats,
    target: Ints, widths: Ints,
) -> None:  # fmt: skip
    """The least it takes to place what is left, set by set: rest (sets x last runs, from `offset`), `begin` to `end`.

    totals, strides (C): lots of each kind, and what one of them counts in a set's number. last (L, P): last run of each
    press; widths (P): what a step of it counts in L, 0 where the press takes no more. into (P, last, C): a lot's work
    and entry; target (P, C): the last run it leaves, -1 where it does not fit.
    """
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

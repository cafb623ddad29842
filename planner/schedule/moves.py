"""Steps from one plan to a neighbour: lots and stretches of lots moved, swapped, crossed over or turned round; batches
re-ranked.

Cost without a part over cost with it, S at 2 s, M at 4 s, L at 8 s, medians of three seeds
(`benchmarks.schedule_parts`): hurrying late batches 1.003, 1.000, 1.003; ranking batches by start 1.005, 1.000, 1.000;
re-ordering batches 0.998, 1.001; kin targets 1.001, 1.000; swaps 1.001, 1.000; crossings 1.005, 1.000; reversals 0.999,
0.999. Single ratios lay between 0.993 and 1.018, so no one of them is sure to gain; reversals gained nothing.
"""

from planner.schedule import glance_tables as g
from planner.schedule import tape as t
from planner.schedule import timing as w
from planner.schedule.chance import State, below, uniform
from planner.schedule.instance import Ints
from planner.schedule.jit import inner

NOTHING = -1

MOST_ALONG = 25
"""Lots moved along in a row, at most. With 25 instead of 4, on one machine with set-ups (wt_sds_15 and wt_sds_20) 2
million glances gave 1,557 and 3,111 instead of 1,734 and 3,539; campaigns of 25 to 200 runs stayed within 0.1 %."""

TO_KIN, TO_NEAR = 0.3, 0.4
"""Of the stretches moved, those put beside a lot of the same tool or melt, and behind one of the nearest
(`neighbours.py`); those without kin go to the nearest too."""

LATE_SHARE = 0.2
"""Of the steps, those that begin with a late batch."""


@inner
def move_lots(
    ints: Ints, seq: Ints, length: Ints, scrap: Ints, lots: Ints, kin: Ints, near: Ints, late: Ints, rng: State
) -> int:
    """Change the sequences in place. The presses changed, as one * P + other; NOTHING if the step leads nowhere.

    The lots still fit their presses (A1); whether two that clash share one now (A6) is for the caller to see.
    scrap (J): room to work in. lots, kin, near, late: fields of the Glance, for the sequences as they are.
    """
    kind = uniform(rng)
    if kind < LATE_SHARE and late[0] > 0:
        return _hurry(ints, seq, length, scrap, lots, late, rng)
    p, a = _pick(ints, length, rng)
    if p < 0:
        return NOTHING
    kind = uniform(rng)
    if kind < 0.1:
        return _reverse(seq, length, p, a, rng)
    if kind < 0.25:
        return _swap(ints, seq, length, p, a, rng)
    if kind < 0.3 and length.size > 1:
        return _cross(ints, seq, length, p, a, scrap, rng)
    size = _stretch(ints, seq, length, p, a, rng)
    q, at = _target(ints, seq, length, seq[p, a], lots, kin, near, rng)
    return _relocate(ints, seq, length, p, a, size, q, at, scrap)


@inner
def _stretch(ints: Ints, seq: Ints, length: Ints, p: int, a: int, rng: State) -> int:
    """How many lots to move along: one, those in a row that share the tool, or a few."""
    size = 1
    kinship = uniform(rng)
    if kinship < 0.3:
        tool = ints[ints[t.RUN_TOOL] + ints[ints[t.LOT_RUN] + seq[p, a]]]
        while a + size < length[p] and ints[ints[t.RUN_TOOL] + ints[ints[t.LOT_RUN] + seq[p, a + size]]] == tool:
            size += 1
    elif kinship < 0.7:
        size = min(1 + below(rng, MOST_ALONG), length[p] - a)
    return size


@inner
def _hurry(ints: Ints, seq: Ints, length: Ints, scrap: Ints, lots: Ints, late: Ints, rng: State) -> int:
    """Move a lot that a late batch waits for, alone or with what follows it, nearer to the beginning."""
    lot = late[1 + (late.size - 1) // 2 + late[1 + below(rng, late[0])]]
    p, a = lots[lot, g.AT_PRESS], lots[lot, g.AT_PLACE]
    pinned = ints[ints[t.PINNED] + p]
    if a < pinned:
        return NOTHING
    size = _stretch(ints, seq, length, p, a, rng)
    if uniform(rng) < 0.7:
        if a == pinned:
            return NOTHING
        return _relocate(ints, seq, length, p, a, size, p, pinned + below(rng, a - pinned), scrap)
    q = below(rng, length.size)
    return _relocate(ints, seq, length, p, a, size, q, below(rng, length[q] + 1), scrap)


@inner
def _pick(ints: Ints, length: Ints, rng: State) -> tuple[int, int]:
    """A lot that may move, as (press, place); (-1, 0) if there is none."""
    pinned = ints[t.PINNED]
    free = 0
    for p in range(length.size):
        free += length[p] - ints[pinned + p]
    if free <= 0:
        return -1, 0
    n = below(rng, free)
    for p in range(length.size):
        here = length[p] - ints[pinned + p]
        if n < here:
            return p, ints[pinned + p] + n
        n -= here
    return -1, 0


@inner
def _target(
    ints: Ints, seq: Ints, length: Ints, lot: int, lots: Ints, kin: Ints, near: Ints, rng: State
) -> tuple[int, int]:
    """Where to put a lot: beside one of the same tool or melt, behind one it is cheap to come from, or anywhere."""
    run = ints[ints[t.LOT_RUN] + lot]
    beside = uniform(rng)
    if beside < TO_KIN:
        tools, melts = ints[t.TOOL_READY] - ints[t.MOUNT_S], ints[t.MELT_RESIN + 1] - ints[t.MELT_RESIN]
        first = tools + melts + 2
        if beside < 0.5 * TO_KIN:
            group = ints[ints[t.RUN_TOOL] + run]
        else:
            group = tools + 1 + max(0, ints[ints[t.RUN_MELT] + 2 * run])
            first += seq.shape[1]
        number = kin[group + 1] - kin[group]
        other = kin[first + kin[group] + below(rng, number)]
        if other != lot:
            return lots[other, g.AT_PRESS], lots[other, g.AT_PLACE] + below(rng, 2)
    if beside < TO_KIN + TO_NEAR:
        other = near[lot, below(rng, near.shape[1])]
        if other != lot:
            return lots[other, g.AT_PRESS], lots[other, g.AT_PLACE] + 1
    p = below(rng, length.size)
    return p, below(rng, length[p] + 1)


@inner
def _relocate(ints: Ints, seq: Ints, length: Ints, p: int, a: int, size: int, q: int, at: int, scrap: Ints) -> int:
    """Take seq[p, a : a + size] out and put it into press q at place `at` (counted before taking out)."""
    at = max(at, ints[ints[t.PINNED] + q])
    if q != p:
        for n in range(size):
            if not _fits(ints, q, seq[p, a + n]):
                return NOTHING
    elif a <= at <= a + size:
        return NOTHING
    for n in range(size):
        scrap[n] = seq[p, a + n]
    for n in range(a, length[p] - size):
        seq[p, n] = seq[p, n + size]
    length[p] -= size
    if q == p and at > a:
        at -= size
    for n in range(length[q] - 1, at - 1, -1):
        seq[q, n + size] = seq[q, n]
    for n in range(size):
        seq[q, at + n] = scrap[n]
    length[q] += size
    return int(p * length.size + q)


@inner
def _fits(ints: Ints, press: int, lot: int) -> bool:
    runs = ints[t.RUN_TOOL + 1] - ints[t.RUN_TOOL]
    return bool(ints[ints[t.FITS] + press * runs + ints[ints[t.LOT_RUN] + lot]] == 1)


@inner
def _swap(ints: Ints, seq: Ints, length: Ints, p: int, a: int, rng: State) -> int:
    """Exchange two lots."""
    q, b = _pick(ints, length, rng)
    if p == q and a == b:
        return NOTHING
    one, other = seq[p, a], seq[q, b]
    if p != q and not (_fits(ints, q, one) and _fits(ints, p, other)):
        return NOTHING
    seq[p, a] = other
    seq[q, b] = one
    return int(p * length.size + q)


@inner
def _cross(ints: Ints, seq: Ints, length: Ints, p: int, a: int, scrap: Ints, rng: State) -> int:
    """Two presses exchange all that comes from a place on."""
    q, b = _pick(ints, length, rng)
    if p == q:
        return NOTHING
    mine, yours = length[p] - a, length[q] - b
    for n in range(mine):
        if not _fits(ints, q, seq[p, a + n]):
            return NOTHING
        scrap[n] = seq[p, a + n]
    for n in range(yours):
        if not _fits(ints, p, seq[q, b + n]):
            return NOTHING
    for n in range(yours):
        seq[p, a + n] = seq[q, b + n]
    for n in range(mine):
        seq[q, b + n] = scrap[n]
    length[p] = a + yours
    length[q] = b + mine
    return int(p * length.size + q)


@inner
def _reverse(seq: Ints, length: Ints, p: int, a: int, rng: State) -> int:
    """Turn a stretch round."""
    end = min(a + 2 + below(rng, 6), length[p])
    if end - a < 2:
        return NOTHING
    for n in range((end - a) >> 1):
        kept = seq[p, a + n]
        seq[p, a + n] = seq[p, end - 1 - n]
        seq[p, end - 1 - n] = kept
    return int(p * length.size + p)


@inner
def clean(ints: Ints, seq: Ints, length: Ints, p: int) -> bool:
    """Whether no two lots of press p bring resins together that must never meet (A6)."""
    runs = ints[t.RUN_TOOL + 1] - ints[t.RUN_TOOL]
    for n in range(length[p]):
        row = ints[t.CLASH] + ints[ints[t.LOT_RUN] + seq[p, n]] * runs
        for m in range(n):
            if ints[row + ints[ints[t.LOT_RUN] + seq[p, m]]] != 0:
                return False
    return True


@inner
def move_together(ints: Ints, seq: Ints, length: Ints, wants: Ints, scrap: Ints, rng: State) -> bool:
    """Put the lots that one batch needs before those of another on every press, or behind them; whether any moved.

    Why: a batch leaves with its last piece, so that one of its lots by itself gains nothing. wants: of the Glance.
    scrap (2, max(J, B, R)): room to work in.
    """
    batches = ints[t.BATCH_PARCELS] - ints[t.BATCH_WORK]
    b, c = below(rng, batches), below(rng, batches)
    if b == c:
        return False
    before = uniform(rng) < 0.5
    mark, kept = scrap[0], scrap[1]
    for p in range(length.size):
        for n in range(length[p]):
            mark[seq[p, n]] = 0
    for k in range(wants[c], wants[c + 1]):
        mark[wants[batches + 1 + k]] = 2
    for k in range(wants[b], wants[b + 1]):
        mark[wants[batches + 1 + k]] = 1
    any_moved = False
    for p in range(length.size):
        pinned = ints[ints[t.PINNED] + p]
        spot = -1
        for n in range(pinned, length[p]):
            if mark[seq[p, n]] == 2 and (spot < 0 or not before):
                spot = n
        if spot < 0:
            continue
        number = 0
        if before:
            to = length[p] - 1
            for n in range(length[p] - 1, spot - 1, -1):
                if mark[seq[p, n]] == 1:
                    kept[number] = seq[p, n]
                    number += 1
                else:
                    seq[p, to] = seq[p, n]
                    to -= 1
            for k in range(number):
                seq[p, to - k] = kept[k]
        else:
            to = pinned
            for n in range(pinned, spot + 1):
                if mark[seq[p, n]] == 1:
                    kept[number] = seq[p, n]
                    number += 1
                else:
                    seq[p, to] = seq[p, n]
                    to += 1
            for k in range(number):
                seq[p, to + k] = kept[k]
        any_moved = any_moved or number > 0
    return any_moved


@inner
def move_batches(order: Ints, scrap: Ints, rng: State) -> bool:
    """Move one batch, or a few in a row, elsewhere in the order of service. scrap (B): room to work in."""
    if order.size < 2:
        return False
    size = 1 if uniform(rng) < 0.6 else min(order.size - 1, 2 + below(rng, 6))
    a = below(rng, order.size - size + 1)
    at = below(rng, order.size - size + 1)
    if uniform(rng) < 0.5:
        # near by, more often than not
        at = min(max(0, a + below(rng, 17) - 8), order.size - size)
    if a == at:
        return False
    for n in range(size):
        scrap[n] = order[a + n]
    if at < a:
        for n in range(a - 1, at - 1, -1):
            order[n + size] = order[n]
    else:
        for n in range(a, at):
            order[n] = order[n + size]
    for n in range(size):
        order[at + n] = scrap[n]
    return True


@inner
def rank_by_start(ints: Ints, lots: Ints, order: Ints, begins: Ints, key: Ints) -> None:
    """Re-rank the batches by when the last of the runs they need begins; where that is the same, the order stays.

    begins (>= R), key (>= B): room to work in.
    """
    for n in range(lots.shape[0] - 1, -1, -1):
        lot = lots[n, w.ORDER]
        begins[ints[ints[t.LOT_RUN] + lot]] = lots[lot, w.START]
    for b in range(order.size):
        key[b] = 0
        for i in range(
            ints[ints[t.JOB_NEED_PTR] + ints[ints[t.JOB_PTR] + b]],
            ints[ints[t.JOB_NEED_PTR] + ints[ints[t.JOB_PTR] + b + 1]],
        ):
            run = ints[ints[t.GOOD_RUN] + ints[ints[t.JOB_GOOD] + i]]
            if run >= 0:
                key[b] = max(key[b], begins[run])
    for n in range(1, order.size):
        b = order[n]
        m = n
        while m > 0 and key[order[m - 1]] > key[b]:
            order[m] = order[m - 1]
            m -= 1
        order[m] = b

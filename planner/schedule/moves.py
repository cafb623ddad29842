"""Steps from one plan to a neighbour: lots and stretches of lots moved, swapped, crossed over or turned round; batches
re-ranked.

Cost without a part over cost with it, S at 2 s, M at 4 s, L at 8 s, medians of three seeds
(`benchmarks.schedule_parts`): hurrying late batches 1.003, 1.000, 1.003; ranking batches by start 1.005, 1.000, 1.000;
re-ordering batches 0.998, 1.001; kin targets 1.001, 1.000; swaps 1.001, 1.000; crossings 1.005, 1.000; reversals 0.999,
0.999. Single ratios lay between 0.993 and 1.018, so no one of them is sure to gain; reversals gained nothing.
"""

from planner.schedule import delta_tables as g
from planner.schedule import timing as w
from planner.schedule.delta_tables import DeltaTables
from planner.schedule.instance import Instance, Ints
from planner.schedule.jit import inner
from planner.schedule.natural_merge_sort import sort_by_key
from planner.schedule.rng import State, below, uniform
from planner.schedule.sequences import Sequences

NOTHING = -1

MOST_ALONG = 25
"""Lots moved along in a row, at most. With 25 instead of 4, on one machine with set-ups (wt_sds_15 and wt_sds_20) 2
million estimates gave 1,557 and 3,111 instead of 1,734 and 3,539; campaigns of 25 to 200 runs stayed within 0.1 %."""

TO_KIN, TO_NEAR = 0.3, 0.4
"""Of the stretches moved, those put beside a lot of the same tool or melt, and behind one of the nearest
(`neighbours.py`); those without kin go to the nearest too."""

LATE_SHARE = 0.2
"""Of the steps, those that begin with a late batch."""


@inner
def move_lots(inst: Instance, plan: Sequences, delta: DeltaTables, scratch: Ints, rng: State) -> int:
    """Change the sequences in place. The presses changed, as one * P + other; NOTHING if the step leads nowhere.

    The lots still fit their presses (A1); whether two that clash share one now (A6) is for the caller to see.
    scratch (J). delta: of the sequences as they are.
    """
    length, late = plan.length, delta.late
    kind = uniform(rng)
    if kind < LATE_SHARE and late[0] > 0:
        return _hurry(inst, plan, delta, scratch, rng)
    p, a = _pick(inst, length, rng)
    if p < 0:
        return NOTHING
    kind = uniform(rng)
    if kind < 0.1:
        return _reverse(plan, p, a, rng)
    if kind < 0.25:
        return _swap(inst, plan, p, a, rng)
    if kind < 0.3 and length.size > 1:
        return _cross(inst, plan, p, a, scratch, rng)
    size = _stretch(inst, plan, p, a, rng)
    to = _target(inst, plan, delta, plan.seq[p, a], rng)
    return _relocate(inst, plan, p, a, size, to, scratch)


@inner
def _stretch(inst: Instance, plan: Sequences, p: int, a: int, rng: State) -> int:
    """How many lots to move along: one, those in a row that share the tool, or a few."""
    seq, length = plan.seq, plan.length
    size = 1
    kinship = uniform(rng)
    if kinship < 0.3:
        tool = inst.run_tool[inst.lot_run[seq[p, a]]]
        while a + size < length[p] and inst.run_tool[inst.lot_run[seq[p, a + size]]] == tool:
            size += 1
    elif kinship < 0.7:
        size = min(1 + below(rng, MOST_ALONG), length[p] - a)
    return size


@inner
def _hurry(inst: Instance, plan: Sequences, delta: DeltaTables, scratch: Ints, rng: State) -> int:
    """Move a lot that a late batch waits for, alone or with what follows it, nearer to the beginning."""
    length, lots, late = plan.length, delta.lots, delta.late
    lot = late[1 + (late.size - 1) // 2 + late[1 + below(rng, late[0])]]
    p, a = lots[lot, g.AT_PRESS], lots[lot, g.AT_PLACE]
    pinned = inst.pinned[p]
    if a < pinned:
        return NOTHING
    size = _stretch(inst, plan, p, a, rng)
    if uniform(rng) < 0.7:
        if a == pinned:
            return NOTHING
        return _relocate(inst, plan, p, a, size, (p, pinned + below(rng, a - pinned)), scratch)
    q = below(rng, length.size)
    return _relocate(inst, plan, p, a, size, (q, below(rng, length[q] + 1)), scratch)


@inner
def _pick(inst: Instance, length: Ints, rng: State) -> tuple[int, int]:
    """A lot that may move, as (press, place); (-1, 0) if there is none."""
    pinned = inst.pinned
    free = 0
    for p in range(length.size):
        free += length[p] - pinned[p]
    if free <= 0:
        return -1, 0
    n = below(rng, free)
    for p in range(length.size):
        here = length[p] - pinned[p]
        if n < here:
            return p, pinned[p] + n
        n -= here
    return -1, 0


@inner
def _target(inst: Instance, plan: Sequences, delta: DeltaTables, lot: int, rng: State) -> tuple[int, int]:
    """Where to put a lot: beside one of the same tool or melt, behind one it is cheap to come from, or anywhere."""
    length, lots, kin, near = plan.length, delta.lots, delta.kin, delta.near
    run = inst.lot_run[lot]
    beside = uniform(rng)
    if beside < TO_KIN:
        tools, melts = inst.mount_s.size, inst.melt_resin.size
        first = tools + melts + 2
        if beside < 0.5 * TO_KIN:
            group = inst.run_tool[run]
        else:
            group = tools + 1 + max(0, inst.run_melt[run, 0])
            first += plan.seq.shape[1]
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
def _relocate(inst: Instance, plan: Sequences, p: int, a: int, size: int, to: tuple[int, int], scratch: Ints) -> int:
    """Take seq[p, a : a + size] out and put it into press q at place `at` (counted before taking out)."""
    seq, length = plan.seq, plan.length
    q, at = to
    at = max(at, inst.pinned[q])
    if q != p:
        for n in range(size):
            if not _fits(inst, q, seq[p, a + n]):
                return NOTHING
    elif a <= at <= a + size:
        return NOTHING
    for n in range(size):
        scratch[n] = seq[p, a + n]
    for n in range(a, length[p] - size):
        seq[p, n] = seq[p, n + size]
    length[p] -= size
    if q == p and at > a:
        at -= size
    for n in range(length[q] - 1, at - 1, -1):
        seq[q, n + size] = seq[q, n]
    for n in range(size):
        seq[q, at + n] = scratch[n]
    length[q] += size
    return int(p * length.size + q)


@inner
def _fits(inst: Instance, press: int, lot: int) -> bool:
    return bool(inst.fits[press, inst.lot_run[lot]])


@inner
def _swap(inst: Instance, plan: Sequences, p: int, a: int, rng: State) -> int:
    """Exchange two lots."""
    seq, length = plan.seq, plan.length
    q, b = _pick(inst, length, rng)
    if p == q and a == b:
        return NOTHING
    one, other = seq[p, a], seq[q, b]
    if p != q and not (_fits(inst, q, one) and _fits(inst, p, other)):
        return NOTHING
    seq[p, a] = other
    seq[q, b] = one
    return int(p * length.size + q)


@inner
def _cross(inst: Instance, plan: Sequences, p: int, a: int, scratch: Ints, rng: State) -> int:
    """Two presses exchange all that comes from a place on."""
    seq, length = plan.seq, plan.length
    q, b = _pick(inst, length, rng)
    if p == q:
        return NOTHING
    mine, yours = length[p] - a, length[q] - b
    for n in range(mine):
        if not _fits(inst, q, seq[p, a + n]):
            return NOTHING
        scratch[n] = seq[p, a + n]
    for n in range(yours):
        if not _fits(inst, p, seq[q, b + n]):
            return NOTHING
    for n in range(yours):
        seq[p, a + n] = seq[q, b + n]
    for n in range(mine):
        seq[q, b + n] = scratch[n]
    length[p] = a + yours
    length[q] = b + mine
    return int(p * length.size + q)


@inner
def _reverse(plan: Sequences, p: int, a: int, rng: State) -> int:
    """Turn a stretch round."""
    seq, length = plan.seq, plan.length
    end = min(a + 2 + below(rng, 6), length[p])
    if end - a < 2:
        return NOTHING
    for n in range((end - a) >> 1):
        kept = seq[p, a + n]
        seq[p, a + n] = seq[p, end - 1 - n]
        seq[p, end - 1 - n] = kept
    return int(p * length.size + p)


@inner
def clean(inst: Instance, plan: Sequences, p: int) -> bool:
    """Whether no two lots of press p bring resins together that must never meet (A6)."""
    seq, length = plan.seq, plan.length
    for n in range(length[p]):
        run = inst.lot_run[seq[p, n]]
        for m in range(n):
            if inst.clash[run, inst.lot_run[seq[p, m]]]:
                return False
    return True


@inner
def move_together(inst: Instance, plan: Sequences, wants: Ints, scratch: Ints, rng: State) -> bool:
    """Put the lots that one batch needs before those of another on every press, or behind them; whether any moved.

    Why: a batch leaves with its last piece, so that one of its lots by itself gains nothing. wants: of the DeltaTables.
    scratch (2, max(J, B, R)).
    """
    seq, length = plan.seq, plan.length
    batches = inst.batch_work.size
    b, c = below(rng, batches), below(rng, batches)
    if b == c:
        return False
    before = uniform(rng) < 0.5
    mark, kept = scratch[0], scratch[1]
    for p in range(length.size):
        for n in range(length[p]):
            mark[seq[p, n]] = 0
    for k in range(wants[c], wants[c + 1]):
        mark[wants[batches + 1 + k]] = 2
    for k in range(wants[b], wants[b + 1]):
        mark[wants[batches + 1 + k]] = 1
    any_moved = False
    for p in range(length.size):
        pinned = inst.pinned[p]
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
def move_batches(order: Ints, scratch: Ints, rng: State) -> bool:
    """Move one batch, or a few in a row, elsewhere in the order of service. scratch (B)."""
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
        scratch[n] = order[a + n]
    if at < a:
        for n in range(a - 1, at - 1, -1):
            order[n + size] = order[n]
    else:
        for n in range(a, at):
            order[n] = order[n + size]
    for n in range(size):
        order[at + n] = scratch[n]
    return True


@inner
def rank_by_start(inst: Instance, lots: Ints, order: Ints, begins: Ints, key: Ints) -> None:
    """Re-rank the batches of an order, or of its rest, by when the last of the runs they need begins; where that is the
    same, the order stays.

    begins (>= R and >= the order), key (>= B): scratch.
    """
    for n in range(lots.shape[0] - 1, -1, -1):
        lot = lots[n, w.ORDER]
        if lot >= 0:
            begins[inst.lot_run[lots[lot, w.LOT]]] = lots[lot, w.START]
    for n in range(order.size):
        b = order[n]
        key[b] = 0
        for i in range(
            inst.job_need_ptr[inst.job_ptr[b]],
            inst.job_need_ptr[inst.job_ptr[b + 1]],
        ):
            run = inst.good_run[inst.job_good[i]]
            if run >= 0:
                key[b] = max(key[b], begins[run])
    sort_by_key(order, key, begins)

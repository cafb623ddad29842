"""Steps from one plan to a neighbour: lots and stretches of lots moved, swapped or turned round; batches re-ranked."""

import numba as nb
import numpy as np

from planner.schedule import tape as t
from planner.schedule import timing as w
from planner.schedule.chance import State, below, uniform
from planner.schedule.instance import Ints
from planner.schedule.tape import part


@nb.njit(cache=True)
def move_lots(ints: Ints, seq: Ints, length: Ints, rng: State) -> bool:
    """Change the sequences in place. False if the step drawn leads nowhere (nothing is changed then)."""
    kind = uniform(rng)
    p = _pick_press(ints, length, rng)
    if p < 0:
        return False
    pinned = part(ints, t.PINNED)
    a = pinned[p] + below(rng, length[p] - pinned[p])
    if kind < 0.15:
        return _reverse(seq, length, p, a, rng)
    if kind < 0.35:
        return _swap(ints, seq, length, p, a, rng)
    # a lot, or a stretch of lots that share the tool, or a few in a row
    size = 1
    kinship = uniform(rng)
    lot_run, run_tool = part(ints, t.LOT_RUN), part(ints, t.RUN_TOOL)
    if kinship < 0.3:
        while a + size < length[p] and run_tool[lot_run[seq[p, a + size]]] == run_tool[lot_run[seq[p, a]]]:
            size += 1
    elif kinship < 0.5:
        size = min(1 + below(rng, 4), length[p] - a)
    q, at = _target(ints, seq, length, seq[p, a], rng)
    return _relocate(ints, seq, length, p, a, size, q, at)


@nb.njit(cache=True)
def _pick_press(ints: Ints, length: Ints, rng: State) -> int:
    """A press with something to move, by how much it has; -1 if there is none."""
    pinned = part(ints, t.PINNED)
    free = 0
    for p in range(length.size):
        free += length[p] - pinned[p]
    if free <= 0:
        return -1
    n = below(rng, free)
    for p in range(length.size):
        n -= length[p] - pinned[p]
        if n < 0:
            return p
    return -1


@nb.njit(cache=True)
def _target(ints: Ints, seq: Ints, length: Ints, lot: int, rng: State) -> tuple[int, int]:
    """Where to put a lot: beside one of the same tool or melt half of the time, anywhere it fits otherwise."""
    lot_run, run_tool, run_melt = part(ints, t.LOT_RUN), part(ints, t.RUN_TOOL), part(ints, t.RUN_MELT)
    run = lot_run[lot]
    if uniform(rng) < 0.5:
        by_tool = uniform(rng) < 0.5
        seen = 0
        press = -1
        place = -1
        for p in range(length.size):
            for n in range(length[p]):
                other = lot_run[seq[p, n]]
                if seq[p, n] == lot:
                    continue
                kin = run_tool[other] == run_tool[run] if by_tool else run_melt[2 * other] == run_melt[2 * run]
                if kin:
                    seen += 1
                    if below(rng, seen) == 0:
                        press = p
                        place = n
        if press >= 0:
            return press, place + below(rng, 2)
    p = below(rng, length.size)
    return p, below(rng, length[p] + 1)


@nb.njit(cache=True)
def _fits(ints: Ints, press: int, lot: int) -> bool:
    runs = part(ints, t.RUN_TOOL).size
    return bool(part(ints, t.FITS)[press * runs + part(ints, t.LOT_RUN)[lot]] == 1)


@nb.njit(cache=True)
def _relocate(ints: Ints, seq: Ints, length: Ints, p: int, a: int, size: int, q: int, at: int) -> bool:
    """Take seq[p, a : a + size] out and put it into press q at place `at` (counted before taking out)."""
    pinned = part(ints, t.PINNED)
    at = max(at, pinned[q])
    if q != p:
        for n in range(size):
            if not _fits(ints, q, seq[p, a + n]):
                return False
    elif a <= at <= a + size:
        return False
    block = seq[p, a : a + size].copy()
    for n in range(a, length[p] - size):
        seq[p, n] = seq[p, n + size]
    length[p] -= size
    if q == p and at > a:
        at -= size
    for n in range(length[q] - 1, at - 1, -1):
        seq[q, n + size] = seq[q, n]
    for n in range(size):
        seq[q, at + n] = block[n]
    length[q] += size
    return True


@nb.njit(cache=True)
def _swap(ints: Ints, seq: Ints, length: Ints, p: int, a: int, rng: State) -> bool:
    """Exchange two lots."""
    q = _pick_press(ints, length, rng)
    pinned = part(ints, t.PINNED)
    b = pinned[q] + below(rng, length[q] - pinned[q])
    if p == q and a == b:
        return False
    one, other = seq[p, a], seq[q, b]
    if p != q and not (_fits(ints, q, one) and _fits(ints, p, other)):
        return False
    seq[p, a] = other
    seq[q, b] = one
    return True


@nb.njit(cache=True)
def _reverse(seq: Ints, length: Ints, p: int, a: int, rng: State) -> bool:
    """Turn a stretch round."""
    size = 2 + below(rng, 6)
    end = min(a + size, length[p])
    if end - a < 2:
        return False
    for n in range((end - a) // 2):
        seq[p, a + n], seq[p, end - 1 - n] = seq[p, end - 1 - n], seq[p, a + n]
    return True


@nb.njit(cache=True)
def move_batches(order: Ints, rng: State) -> bool:
    """Move one batch, or a few in a row, elsewhere in the order of service."""
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
    block = order[a : a + size].copy()
    if at < a:
        for n in range(a - 1, at - 1, -1):
            order[n + size] = order[n]
    else:
        for n in range(a, at):
            order[n] = order[n + size]
    order[at : at + size] = block
    return True


@nb.njit(cache=True)
def rank_by_start(ints: Ints, lots: Ints, order: Ints) -> None:
    """Re-rank the batches by when the last of the runs they need begins; where that is the same, the order stays."""
    job_ptr, need_ptr, good = part(ints, t.JOB_PTR), part(ints, t.JOB_NEED_PTR), part(ints, t.JOB_GOOD)
    good_run, lot_run = part(ints, t.GOOD_RUN), part(ints, t.LOT_RUN)
    begins = np.zeros(part(ints, t.RUN_TOOL).size, dtype=np.int64)
    for n in range(lot_run.size - 1, -1, -1):
        lot = lots[n, w.ORDER]
        begins[lot_run[lot]] = lots[lot, w.START]
    key = np.zeros(order.size, dtype=np.int64)
    for n in range(order.size):
        b = order[n]
        for job in range(job_ptr[b], job_ptr[b + 1]):
            for i in range(need_ptr[job], need_ptr[job + 1]):
                run = good_run[good[i]]
                if run >= 0:
                    key[n] = max(key[n], begins[run])
    order[:] = order[np.argsort(key, kind="mergesort")]

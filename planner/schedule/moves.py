"""Steps from one plan to a neighbour: lots and stretches of lots moved, swapped or turned round; batches re-ranked."""

from planner.schedule import tape as t
from planner.schedule import timing as w
from planner.schedule.chance import State, below, uniform
from planner.schedule.instance import Ints
from planner.schedule.jit import inner

NOTHING = -1


@inner
def move_lots(ints: Ints, seq: Ints, length: Ints, scrap: Ints, rng: State) -> int:
    """Change the sequences in place. The presses changed, as one * P + other; NOTHING if the step leads nowhere.

    The lots still fit their presses (A1); whether two that clash share one now (A6) is for the caller to see.
    scrap (J): room to work in.
    """
    kind = uniform(rng)
    p, a = _pick(ints, length, rng)
    if p < 0:
        return NOTHING
    if kind < 0.15:
        return _reverse(seq, length, p, a, rng)
    if kind < 0.35:
        return _swap(ints, seq, length, p, a, rng)
    # a lot, or a stretch of lots that share the tool, or a few in a row
    size = 1
    kinship = uniform(rng)
    if kinship < 0.3:
        tool = ints[ints[t.RUN_TOOL] + ints[ints[t.LOT_RUN] + seq[p, a]]]
        while a + size < length[p] and ints[ints[t.RUN_TOOL] + ints[ints[t.LOT_RUN] + seq[p, a + size]]] == tool:
            size += 1
    elif kinship < 0.5:
        size = min(1 + below(rng, 4), length[p] - a)
    q, at = _target(ints, seq, length, seq[p, a], rng)
    return _relocate(ints, seq, length, p, a, size, q, at, scrap)


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
def _target(ints: Ints, seq: Ints, length: Ints, lot: int, rng: State) -> tuple[int, int]:
    """Where to put a lot: beside one of the same tool or melt half of the time, anywhere otherwise."""
    run = ints[ints[t.LOT_RUN] + lot]
    beside = uniform(rng)
    if beside < 0.5:
        field, step = (t.RUN_TOOL, 1) if beside < 0.25 else (t.RUN_MELT, 2)
        wanted = ints[ints[field] + step * run]
        seen = 0
        press = -1
        place = -1
        for p in range(length.size):
            for n in range(length[p]):
                if seq[p, n] != lot and ints[ints[field] + step * ints[ints[t.LOT_RUN] + seq[p, n]]] == wanted:
                    seen += 1
                    if below(rng, seen) == 0:
                        press = p
                        place = n
        if press >= 0:
            return press, place + below(rng, 2)
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

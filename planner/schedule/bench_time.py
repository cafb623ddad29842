"""When units are assembled, parcels packed and dispatched: parts come to the benches by the shot."""

import numba as nb
import numpy as np

from planner.schedule import tape as t
from planner.schedule import timing as w
from planner.schedule.instance import NEVER, Floats, Ints
from planner.schedule.tape import fpart, part

# Columns of the table of goods while they are allotted.
GOOD_COLUMNS = 5
ASKED, LOT, SHOTS_BEFORE, PIECE, WORK_BEFORE = range(GOOD_COLUMNS)


@nb.njit(cache=True)
def run_benches(
    ints: Ints, floats: Floats, order: Ints, lots: Ints, pieces: Ints, jobs: Ints, batches: Ints, totals: Floats
) -> bool:
    """Time assembly, packing and dispatch. order (B): pack batches, first served first. False: a calendar ends.

    Parts and pieces are allotted in that order; a bench takes, of what is ready, what stands first in it.
    """
    job_ptr, job_work, job_need_ptr = part(ints, t.JOB_PTR), part(ints, t.JOB_WORK), part(ints, t.JOB_NEED_PTR)
    job_good, job_qty = part(ints, t.JOB_GOOD), part(ints, t.JOB_QTY)
    batch_need_ptr, batch_good, batch_qty = (
        part(ints, t.BATCH_NEED_PTR),
        part(ints, t.BATCH_GOOD),
        part(ints, t.BATCH_QTY),
    )
    follow, goods = allotment(ints, lots)

    rank = np.zeros(jobs.shape[0], dtype=np.int64)
    batch_rank = np.zeros(order.size, dtype=np.int64)
    ranked = 0
    for n in range(order.size):
        b = order[n]
        batch_rank[b] = n
        for job in range(job_ptr[b], job_ptr[b + 1]):
            ready = 0
            for i in range(job_need_ptr[job], job_need_ptr[job + 1]):
                ready = max(ready, take_good(ints, lots, pieces, follow, goods, job_good[i], job_qty[i]))
            jobs[job, w.READY] = ready
            rank[job] = ranked
            ranked += 1
        ready = 0
        for i in range(batch_need_ptr[b], batch_need_ptr[b + 1]):
            ready = max(ready, take_good(ints, lots, pieces, follow, goods, batch_good[i], batch_qty[i]))
        batches[b, w.READY] = ready

    if not bench(part(ints, t.ASM_START), part(ints, t.ASM_END), part(ints, t.ASM_PEOPLE), job_work, jobs, rank):
        return False
    for b in range(order.size):
        for job in range(job_ptr[b], job_ptr[b + 1]):
            batches[b, w.READY] = max(batches[b, w.READY], jobs[job, w.ENDED])
    if not bench(
        part(ints, t.PACK_START), part(ints, t.PACK_END), part(ints, t.PACK_PEOPLE), part(ints, t.BATCH_WORK),
        batches, batch_rank,
    ):  # fmt: skip
        return False
    return dispatch(ints, floats, batches, totals)


@nb.njit(cache=True)
def allotment(ints: Ints, lots: Ints) -> tuple[Ints, Ints]:
    """Lots of each run demand linked in time order, and the goods' table at its beginning."""
    lot_run, good_run = part(ints, t.LOT_RUN), part(ints, t.GOOD_RUN)
    runs = part(ints, t.RUN_TOOL).size
    head = np.full(runs, -1, dtype=np.int64)
    tail = np.full(runs, -1, dtype=np.int64)
    follow = np.full(lot_run.size, -1, dtype=np.int64)
    for n in range(lot_run.size):
        lot = lots[n, w.ORDER]
        run = lot_run[lot]
        if head[run] < 0:
            head[run] = lot
        else:
            follow[tail[run]] = lot
        tail[run] = lot
    goods = np.zeros((good_run.size, GOOD_COLUMNS), dtype=np.int64)
    for g in range(good_run.size):
        goods[g, LOT] = -1
        if good_run[g] >= 0:
            lot = head[good_run[g]]
            goods[g, LOT] = lot
            if lot >= 0:
                goods[g, PIECE] = lots[lot, w.FIRST_PIECE]
    return follow, goods


@nb.njit(cache=True)
def take_good(ints: Ints, lots: Ints, pieces: Ints, follow: Ints, goods: Ints, g: int, quantity: int) -> int:
    """Allot more of good g; when all allotted so far is there (parts: moulded and rested). NEVER if it never is."""
    row = goods[g]
    row[ASKED] += quantity
    asked = row[ASKED]
    run = part(ints, t.GOOD_RUN)[g]
    if run < 0:
        ptr, moments, counts = part(ints, t.PIECE_PTR), part(ints, t.PIECE_T), part(ints, t.PIECE_COUNT)
        for step in range(ptr[g], ptr[g + 1]):
            if counts[step] >= asked:
                return int(moments[step])
        return NEVER
    asked -= part(ints, t.GOOD_STOCK)[g]
    if asked <= 0:
        return 0
    lot_shots = part(ints, t.LOT_SHOTS)
    # Q good parts are counted on in N_i shots, evenly: the m-th is there with shot ceil(m N_i / Q)
    shot = -(-asked * part(ints, t.GOOD_COUNT_SHOTS)[g] // part(ints, t.GOOD_NEED)[g])
    while row[LOT] >= 0 and row[SHOTS_BEFORE] + lot_shots[row[LOT]] < shot:
        row[SHOTS_BEFORE] += lot_shots[row[LOT]]
        row[LOT] = follow[row[LOT]]
        row[WORK_BEFORE] = 0
        if row[LOT] >= 0:
            row[PIECE] = lots[row[LOT], w.FIRST_PIECE]
    lot = row[LOT]
    if lot < 0:
        return NEVER
    at = lots[lot, w.PRESS] * part(ints, t.RUN_TOOL).size + run
    work = -(-(shot - row[SHOTS_BEFORE]) * part(ints, t.SHOT_NUM)[at] // part(ints, t.SHOT_DEN)[at])
    while row[WORK_BEFORE] + pieces[row[PIECE], w.WORK] < work:
        row[WORK_BEFORE] += pieces[row[PIECE], w.WORK]
        row[PIECE] += 1
    return int(pieces[row[PIECE], w.BEGAN] + work - row[WORK_BEFORE] + part(ints, t.GOOD_REST_S)[g])


@nb.njit(cache=True)
def bench(open_start: Ints, open_end: Ints, people: Ints, work: Ints, steps: Ints, rank: Ints) -> bool:
    """One batch at a time with all people there; of what is ready, the first in rank. False: the calendar ends."""
    number = work.size
    by_ready = np.argsort(steps[:, w.READY], kind="mergesort")
    heap = np.empty(number, dtype=np.int64)  # what is ready, least rank on top
    size = 0
    following = 0
    now = 0
    k = 0
    for _ in range(number):
        if size == 0:
            now = max(now, steps[by_ready[following], w.READY])
        # nothing starts while the bench is closed: wait for the opening, then see what is ready
        while k < open_start.size and open_end[k] <= now:
            k += 1
        if k >= open_start.size:
            return False
        now = max(now, open_start[k])
        while following < number and steps[by_ready[following], w.READY] <= now:
            job = by_ready[following]
            following += 1
            i = size
            size += 1
            while i > 0 and rank[heap[(i - 1) // 2]] > rank[job]:
                heap[i] = heap[(i - 1) // 2]
                i = (i - 1) // 2
            heap[i] = job
        job = heap[0]
        size -= 1
        moved = heap[size]
        i = 0
        while True:
            child = 2 * i + 1
            if child >= size:
                break
            if child + 1 < size and rank[heap[child + 1]] < rank[heap[child]]:
                child += 1
            if rank[heap[child]] >= rank[moved]:
                break
            heap[i] = heap[child]
            i = child
        heap[i] = moved
        steps[job, w.STARTED] = now
        left = work[job]
        while left > 0:
            room = (open_end[k] - now) * people[k]
            if room >= left:
                now += -(-left // people[k])
                left = 0
            else:
                left -= room
                k += 1
                if k >= open_start.size:
                    return False
                now = open_start[k]
        steps[job, w.ENDED] = now
    return True


@nb.njit(cache=True)
def dispatch(ints: Ints, floats: Floats, batches: Ints, totals: Floats) -> bool:
    """Each batch leaves with the first pick-up after it is packed that has room for it, in order of packing."""
    pickup_t, pickup_day = part(ints, t.PICKUP_T), part(ints, t.PICKUP_DAY)
    parcels, due = part(ints, t.BATCH_PARCELS), part(ints, t.BATCH_DUE)
    late_cost, weight = fpart(ints, floats, t.BATCH_LATE_COST), fpart(ints, floats, t.BATCH_WEIGHT)
    room = np.full(pickup_t.size, part(ints, t.PICKUP_PARCELS)[0], dtype=np.int64)
    lateness = weighted = weights = 0.0
    last = 0
    for b in np.argsort(batches[:, w.ENDED], kind="mergesort"):
        k = np.searchsorted(pickup_t, batches[b, w.ENDED])
        while k < pickup_t.size and room[k] < parcels[b]:
            k += 1
        if k >= pickup_t.size:
            return False
        room[k] -= parcels[b]
        batches[b, w.PICKUP] = k
        lateness += max(0, pickup_day[k] - due[b]) * late_cost[b]
        last = max(last, pickup_t[k])
        weighted += weight[b] * pickup_t[k]
        weights += weight[b]
    totals[w.LATENESS] = lateness
    totals[w.LAST] = last
    totals[w.MEAN] = weighted / weights if weights > 0 else 0.0
    return True

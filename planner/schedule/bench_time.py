"""When units are assembled, parcels packed and dispatched: parts come to the benches by the shot."""

from planner.schedule import tape as t
from planner.schedule import timing as w
from planner.schedule.bench_queue import work_off
from planner.schedule.instance import NEVER, Floats, Ints
from planner.schedule.jit import inner


@inner
def run_benches(
    ints: Ints,
    floats: Floats,
    order: Ints,
    lots: Ints,
    pieces: Ints,
    jobs: Ints,
    batches: Ints,
    totals: Floats,
    links: Ints,
    goods: Ints,
    needs: Ints,
    queues: Ints,
    heap: Ints,
    room: Ints,
) -> bool:
    """Time assembly, packing and dispatch. order (B): pack batches, first served first. False: a calendar ends.

    Parts and pieces are allotted in that order (`allot` has written who waits for which shot); a bench takes, of what
    is ready, what stands first in it. The rest: fields of a Timing.
    """
    _link_lots(ints, lots, links, goods)
    jobs_need = ints[t.JOB_GOOD + 1] - ints[t.JOB_GOOD]
    job_ptr, job_need, batch_need = ints[t.JOB_PTR], ints[t.JOB_NEED_PTR], ints[t.BATCH_NEED_PTR]
    for n in range(order.size):
        b = order[n]
        for job in range(ints[job_ptr + b], ints[job_ptr + b + 1]):
            ready = 0
            for i in range(ints[job_need + job], ints[job_need + job + 1]):
                good = ints[ints[t.JOB_GOOD] + i]
                ready = max(ready, _there(ints, lots, pieces, links, goods, good, needs[i]))
            jobs[job, w.READY] = ready
        ready = 0
        for i in range(ints[batch_need + b], ints[batch_need + b + 1]):
            good = ints[ints[t.BATCH_GOOD] + i]
            ready = max(ready, _there(ints, lots, pieces, links, goods, good, needs[jobs_need + i]))
        batches[b, w.READY] = ready

    assembly, packing = ints[t.ASM_START], ints[t.PACK_START]
    if not work_off(
        ints, assembly, ints[t.ASM_END], ints[t.ASM_PEOPLE], ints[t.ASM_END] - assembly, ints[t.JOB_WORK],
        jobs, queues, w.JOB_RANK, w.JOBS_BY_READY, heap,
    ):  # fmt: skip
        return False
    for b in range(order.size):
        for job in range(ints[job_ptr + b], ints[job_ptr + b + 1]):
            batches[b, w.READY] = max(batches[b, w.READY], jobs[job, w.ENDED])
    if not work_off(
        ints, packing, ints[t.PACK_END], ints[t.PACK_PEOPLE], ints[t.PACK_END] - packing, ints[t.BATCH_WORK],
        batches, queues, w.BATCH_RANK, w.BATCHES_BY_READY, heap,
    ):  # fmt: skip
        return False
    return _dispatch(ints, floats, batches, totals, queues, room)


@inner
def allot(ints: Ints, order: Ints, goods: Ints, needs: Ints, queues: Ints) -> None:
    """Hand out parts and pieces in order of service: which shot each need waits for, whatever the presses do.

    needs[i]: the shot of its run demand that brings the last part asked for (0: in stock); for pieces and parts no run
    makes, the moment they are there.
    """
    for g in range(goods.shape[0]):
        goods[g, w.ASKED] = 0
    jobs_need = ints[t.JOB_GOOD + 1] - ints[t.JOB_GOOD]
    ranked = 0
    for n in range(order.size):
        b = order[n]
        queues[w.BATCH_RANK, b] = n
        for job in range(ints[ints[t.JOB_PTR] + b], ints[ints[t.JOB_PTR] + b + 1]):
            queues[w.JOB_RANK, job] = ranked
            ranked += 1
        # the needs of a batch's jobs, then its own
        first = ints[ints[t.JOB_NEED_PTR] + ints[ints[t.JOB_PTR] + b]]
        last = ints[ints[t.JOB_NEED_PTR] + ints[ints[t.JOB_PTR] + b + 1]]
        own, end = ints[ints[t.BATCH_NEED_PTR] + b], ints[ints[t.BATCH_NEED_PTR] + b + 1]
        for step in range(last - first + end - own):
            mine = first + step
            if step < last - first:
                g, quantity = ints[ints[t.JOB_GOOD] + mine], ints[ints[t.JOB_QTY] + mine]
            else:
                i = own + step - (last - first)
                mine = jobs_need + i
                g, quantity = ints[ints[t.BATCH_GOOD] + i], ints[ints[t.BATCH_QTY] + i]
            goods[g, w.ASKED] += quantity
            asked = goods[g, w.ASKED]
            if ints[ints[t.GOOD_RUN] + g] < 0:
                needs[mine] = NEVER
                for supply in range(ints[ints[t.PIECE_PTR] + g], ints[ints[t.PIECE_PTR] + g + 1]):
                    if ints[ints[t.PIECE_COUNT] + supply] >= asked:
                        needs[mine] = ints[ints[t.PIECE_T] + supply]
                        break
            else:
                asked = max(0, asked - ints[ints[t.GOOD_STOCK] + g])
                # Q good parts are counted on in N_i shots, evenly: the m-th is there with shot ceil(m N_i / Q)
                q = ints[ints[t.GOOD_NEED] + g]
                needs[mine] = (asked * ints[ints[t.GOOD_COUNT_SHOTS] + g] + q - 1) // q


@inner
def _link_lots(ints: Ints, lots: Ints, links: Ints, goods: Ints) -> None:
    """Link the lots of each run demand in order of time, and set each good to the first shot of its demand."""
    runs = ints[t.RUN_TOOL + 1] - ints[t.RUN_TOOL]
    for n in range(links.size):
        links[n] = -1
    for n in range(lots.shape[0]):
        lot = lots[n, w.ORDER]
        run = ints[ints[t.LOT_RUN] + lot]
        if links[run] < 0:
            links[run] = lot
        else:
            links[2 * runs + links[runs + run]] = lot
        links[runs + run] = lot
    for g in range(goods.shape[0]):
        run = ints[ints[t.GOOD_RUN] + g]
        if run >= 0:
            lot = links[run]
            goods[g, w.AT_LOT] = lot
            goods[g, w.SHOTS_BEFORE] = 0
            goods[g, w.AT_PIECE] = lots[lot, w.FIRST_PIECE]
            goods[g, w.WORK_BEFORE] = 0


@inner
def _there(ints: Ints, lots: Ints, pieces: Ints, links: Ints, goods: Ints, g: int, need: int) -> int:
    """When a need of good g is met (parts: moulded and rested). NEVER if it never is."""
    run = ints[ints[t.GOOD_RUN] + g]
    if run < 0 or need <= 0:
        return need
    runs = ints[t.RUN_TOOL + 1] - ints[t.RUN_TOOL]
    lot = goods[g, w.AT_LOT]
    while goods[g, w.SHOTS_BEFORE] + ints[ints[t.LOT_SHOTS] + lot] < need:
        goods[g, w.SHOTS_BEFORE] += ints[ints[t.LOT_SHOTS] + lot]
        lot = links[2 * runs + lot]
        if lot < 0:
            return NEVER
        goods[g, w.AT_LOT] = lot
        goods[g, w.WORK_BEFORE] = 0
        goods[g, w.AT_PIECE] = lots[lot, w.FIRST_PIECE]
    at = lots[lot, w.PRESS] * runs + run
    den = ints[ints[t.SHOT_DEN] + at]
    work = ((need - goods[g, w.SHOTS_BEFORE]) * ints[ints[t.SHOT_NUM] + at] + den - 1) // den
    piece = goods[g, w.AT_PIECE]
    while goods[g, w.WORK_BEFORE] + pieces[piece, w.WORK] < work:
        goods[g, w.WORK_BEFORE] += pieces[piece, w.WORK]
        piece += 1
    goods[g, w.AT_PIECE] = piece
    return int(pieces[piece, w.BEGAN] + work - goods[g, w.WORK_BEFORE] + ints[ints[t.GOOD_REST_S] + g])


@inner
def _dispatch(ints: Ints, floats: Floats, batches: Ints, totals: Floats, queues: Ints, room: Ints) -> bool:
    """Each batch leaves with the first pick-up after it is packed that has room for it, in order of packing."""
    parcels, pickup_t = ints[t.BATCH_PARCELS], ints[t.PICKUP_T]
    lateness = weighted = weights = 0.0
    last = 0
    sent = 0
    for n in range(batches.shape[0]):
        b = queues[w.PACKED, n]
        # first pick-up at or after its end, by halving
        k = 0
        after = room.size
        while k < after:
            middle = (k + after) >> 1
            if ints[pickup_t + middle] < batches[b, w.ENDED]:
                k = middle + 1
            else:
                after = middle
        while k < room.size and room[k] < ints[parcels + b]:
            k += 1
        if k >= room.size:
            break
        sent += 1
        room[k] -= ints[parcels + b]
        batches[b, w.PICKUP] = k
        moment = ints[pickup_t + k]
        late = ints[ints[t.PICKUP_DAY] + k] - ints[ints[t.BATCH_DUE] + b]
        if late > 0:
            lateness += late * floats[ints[t.BATCH_LATE_COST] + b]
        last = max(last, moment)
        weighted += floats[ints[t.BATCH_WEIGHT] + b] * moment
        weights += floats[ints[t.BATCH_WEIGHT] + b]
    for n in range(sent):  # leave every pick-up empty for the next plan
        b = queues[w.PACKED, n]
        room[batches[b, w.PICKUP]] += ints[parcels + b]
    if sent < batches.shape[0]:
        return False
    totals[w.LATENESS] = lateness
    totals[w.LAST] = last
    totals[w.MEAN] = weighted / weights if weights > 0 else 0.0
    return True

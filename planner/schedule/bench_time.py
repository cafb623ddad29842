"""When units are assembled, parcels packed and dispatched: parts come to the benches by the shot."""

from planner.schedule import tape as t
from planner.schedule import timing as w
from planner.schedule.bench_queue import work_off
from planner.schedule.instance import Floats, Ints
from planner.schedule.jit import inner


@inner
def run_benches(
    ints: Ints,
    floats: Floats,
    jobs: Ints,
    batches: Ints,
    totals: Floats,
    needs: Ints,
    moments: Ints,
    queues: Ints,
    heap: Ints,
    room: Ints,
) -> bool:
    """Time assembly, packing and dispatch. False: a calendar ends.

    `allot` has written who waits for which shot, `refresh` when that shot is there; a bench takes, of what is ready,
    what stands first in the order of service. The arguments: fields of a Timing.
    """
    jobs_need = ints[t.JOB_GOOD + 1] - ints[t.JOB_GOOD]
    job_ptr, job_need, batch_need = ints[t.JOB_PTR], ints[t.JOB_NEED_PTR], ints[t.BATCH_NEED_PTR]
    i = 0
    for job in range(jobs.shape[0]):
        ready = 0
        end = ints[job_need + job + 1]
        while i < end:
            ready = max(ready, moments[i])
            i += 1
        jobs[job, w.READY] = ready
    assembly, packing = ints[t.ASM_START], ints[t.PACK_START]
    if not work_off(
        ints, assembly, ints[t.ASM_END], ints[t.ASM_PEOPLE], ints[t.ASM_END] - assembly, ints[t.JOB_WORK],
        jobs, queues, w.JOB_RANK, w.JOBS_BY_READY, heap,
    ):  # fmt: skip
        return False
    for b in range(batches.shape[0]):
        ready = 0
        for i in range(ints[batch_need + b], ints[batch_need + b + 1]):
            ready = max(ready, needs[jobs_need + i])
        for job in range(ints[job_ptr + b], ints[job_ptr + b + 1]):
            ready = max(ready, jobs[job, w.ENDED])
        batches[b, w.READY] = ready
    if not work_off(
        ints, packing, ints[t.PACK_END], ints[t.PACK_PEOPLE], ints[t.PACK_END] - packing, ints[t.BATCH_WORK],
        batches, queues, w.BATCH_RANK, w.BATCHES_BY_READY, heap,
    ):  # fmt: skip
        return False
    return _dispatch(ints, floats, batches, totals, queues, room)


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

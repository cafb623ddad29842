"""When units are assembled, parcels packed and dispatched: parts come to the benches by the shot."""

from planner.schedule import timing as w
from planner.schedule.bench_queue import ASSEMBLY, BEFORE, PACKING, work_off
from planner.schedule.instance import NEVER, Instance
from planner.schedule.jit import inner
from planner.schedule.stability import price_of_days
from planner.schedule.timing import Timing


@inner
def run_benches(inst: Instance, timing: Timing) -> bool:
    """Time work before assembly, assembly, packing and dispatch. False: a calendar ends.

    `allot` has written who waits for which shot, `refresh` when that shot is there; a bench takes, of what is ready,
    what stands first in the order of service.
    """
    jobs, batches, needs, moments = timing.jobs, timing.batches, timing.needs, timing.moments
    jobs_need = inst.job_good.size
    if inst.finishing > 0 and not _finish(inst, timing):
        return False
    i = 0
    for job in range(jobs.shape[0]):
        ready = 0
        end = inst.job_need_ptr[job + 1]
        while i < end:
            ready = max(ready, moments[i])
            i += 1
        if inst.finishing > 0:
            ready = max(ready, _finished(inst, timing, job, inst.finishing))
        jobs[job, w.READY] = ready
    if not work_off(inst, timing, ASSEMBLY):
        return False
    for b in range(batches.shape[0]):
        ready = 0
        for i in range(inst.batch_need_ptr[b], inst.batch_need_ptr[b + 1]):
            ready = max(ready, needs[jobs_need + i])
        for job in range(inst.job_ptr[b], inst.job_ptr[b + 1]):
            ready = max(ready, jobs[job, w.ENDED])
        batches[b, w.READY] = ready
    if not work_off(inst, timing, PACKING):
        return False
    return _dispatch(inst, timing)


@inner
def _finish(inst: Instance, timing: Timing) -> bool:
    """Benches before assembly, one after the other: each takes a job's parts once all of them that pass it are there
    and the benches before are done with the job. False: a calendar ends."""
    number = timing.jobs.shape[0]
    for bench in range(inst.finishing):
        for job in range(number):
            ready = 0
            if inst.finish_work[bench, job] >= 0:
                ready = _finished(inst, timing, job, bench)
                for i in range(inst.job_need_ptr[job], inst.job_need_ptr[job + 1]):
                    if inst.need_first[i] == bench:
                        ready = max(ready, timing.moments[i])
            timing.finished[bench * number + job, w.READY] = min(ready, NEVER)
        if not work_off(inst, timing, BEFORE + bench):
            return False
    return True


@inner
def _finished(inst: Instance, timing: Timing, job: int, before: int) -> int:
    """When a job's parts are done with all benches before this one, and have rested."""
    number = timing.jobs.shape[0]
    ready = 0
    for bench in range(before):
        if inst.finish_work[bench, job] >= 0:
            ready = max(ready, timing.finished[bench * number + job, w.ENDED] + inst.finish_rest[bench, job])
    return ready


@inner
def _dispatch(inst: Instance, timing: Timing) -> bool:
    """Each batch leaves with the first pick-up after it is packed that has room for it, in order of packing."""
    batches, totals, queues, room = timing.batches, timing.totals, timing.queues, timing.room
    parcels, pickup_t = inst.batch_parcels, inst.pickup_t
    lateness = weighted = weights = 0.0
    last = 0
    sent = 0
    after = 0  # the first pick-up at or after the batch's end, which no later one's precedes
    for n in range(batches.shape[0]):
        b = queues[w.PACKED, n]
        while after < room.size and pickup_t[after] < batches[b, w.ENDED]:
            after += 1
        k = after
        while k < room.size and room[k] < parcels[b]:
            k += 1
        if k >= room.size:
            break
        sent += 1
        room[k] -= parcels[b]
        batches[b, w.PICKUP] = k
        moment = pickup_t[k]
        late = inst.pickup_day[k] - inst.batch_due[b]
        if late > 0:
            lateness += late * inst.batch_late_cost[b]
        last = max(last, moment)
        weighted += inst.batch_weight[b] * moment
        weights += inst.batch_weight[b]
    for n in range(sent):  # leave every pick-up empty for the next plan
        b = queues[w.PACKED, n]
        room[batches[b, w.PICKUP]] += parcels[b]
    if sent < batches.shape[0]:
        return False
    totals[w.LATENESS] = lateness
    if inst.announced != 0:
        totals[w.MOVED_DAYS] = price_of_days(inst, timing)
    totals[w.LAST] = last
    totals[w.MEAN] = weighted / weights if weights > 0 else 0.0
    return True

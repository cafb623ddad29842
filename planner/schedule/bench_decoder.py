"""When units are assembled, parcels packed and dispatched: parts come to the benches by the shot."""

from planner.schedule import timing as w
from planner.schedule.bench_parts import back_from
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
        assembled = 0
        for job in range(inst.job_ptr[b], inst.job_ptr[b + 1]):
            assembled = max(assembled, jobs[job, w.ENDED])
        if inst.carrying > 0 and inst.job_ptr[b] < inst.job_ptr[b + 1]:
            assembled = _carried(inst, inst.finishing, inst.finishing + 1, assembled)
        batches[b, w.READY] = max(ready, assembled)
    if not work_off(inst, timing, PACKING):
        return False
    sent = _by_wave(inst, timing) if inst.leaving > 0 else _dispatch(inst, timing)
    if sent and inst.announced != 0:
        timing.totals[w.MOVED_DAYS] = price_of_days(inst, timing)
    return sent


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
    """When a job's parts are done with all benches before this one, have rested, and are at its place."""
    number = timing.jobs.shape[0]
    ready, last = 0, -1
    for bench in range(before):
        if inst.finish_work[bench, job] >= 0:
            ready = max(ready, timing.finished[bench * number + job, w.ENDED] + inst.finish_rest[bench, job])
            last = bench
    return _carried(inst, last, before, ready) if inst.carrying > 0 and last >= 0 else ready


@inner
def _carried(inst: Instance, after: int, to: int, moment: int) -> int:
    """When what a bench is done with at a moment is at another."""
    way = inst.carry_way[after, to]
    return back_from(inst, way, moment) if way >= 0 else moment


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
    totals[w.LAST] = last
    totals[w.MEAN] = weighted / weights if weights > 0 else 0.0
    return True


@inner
def _by_wave(inst: Instance, timing: Timing) -> bool:
    """As `_dispatch`, each batch with its own carrier, wave after wave: none leaves before the wave before has left.

    What belongs to no wave takes its room with the first one. Pallets count with lateness: both are settled here.
    """
    batches, totals, queues, room = timing.batches, timing.totals, timing.queues, timing.room
    parcels, pickup_t = inst.batch_parcels, inst.pickup_t
    money = weighted = weights = 0.0
    last = sent = 0
    gone = 0  # the moment at which the last of the waves before left
    for wave in range(inst.waves):
        leaves = gone
        for n in range(batches.shape[0]):
            b = queues[w.PACKED, n]
            mine = inst.batch_wave[b]
            if mine != wave and not (wave == 0 and mine < 0):
                continue
            ready = batches[b, w.ENDED] if mine < 0 else max(gone, batches[b, w.ENDED])
            k = first_pickup(inst, b, ready)
            while k < room.size and room[k] < parcels[b]:
                k = first_pickup(inst, b, pickup_t[k] + 1)
            if k >= room.size:
                continue
            sent += 1
            room[k] -= parcels[b]
            batches[b, w.PICKUP] = k
            moment = pickup_t[k]
            late = inst.pickup_day[k] - inst.batch_due[b]
            if late > 0:
                money += late * inst.batch_late_cost[b]
            last = max(last, moment)
            if mine >= 0:
                leaves = max(leaves, moment)
            weighted += inst.batch_weight[b] * moment
            weights += inst.batch_weight[b]
        gone = leaves
    for k in range(room.size):  # leave every pick-up empty for the next plan
        carrier = inst.pickup_carrier[k]
        taken = inst.carrier_parcels[carrier] - room[k]
        if taken > 0 and inst.pallet_parcels[carrier] > 0:
            pallets = (taken + inst.pallet_parcels[carrier] - 1) // inst.pallet_parcels[carrier]
            money += pallets * inst.pallet_price[carrier]
        room[k] = inst.carrier_parcels[carrier]
    if sent < batches.shape[0]:
        return False
    totals[w.LATENESS] = money - inst.pallets_least
    totals[w.LAST] = last
    totals[w.MEAN] = weighted / weights if weights > 0 else 0.0
    return True


@inner
def first_pickup(inst: Instance, batch: int, ready: int) -> int:
    """The first pick-up of a batch's carrier at or after a moment; as many as there are pick-ups: none."""
    pickup_t = inst.pickup_t
    first, after = 0, pickup_t.size
    while first < after:
        middle = (first + after) >> 1
        if pickup_t[middle] < ready:
            first = middle + 1
        else:
            after = middle
    while first < pickup_t.size and inst.pickup_carrier[first] != inst.batch_carrier[batch]:
        first += 1
    return first

"""Benches before assembly, assembly, packing and pick-ups."""

from fractions import Fraction
from math import ceil

from planner.schedule.instance import NEVER, Instance
from tests.planner.schedule.plain.bench_parts import good_there
from tests.planner.schedule.plain.workshop import CannotBeDone, Workshop


def benches(shop: Workshop, order: list[int]) -> tuple[dict[int, int], dict[int, int], list[int]]:
    inst, there = shop.inst, good_there(shop)
    taken: dict[int, int] = {}

    def met(good: int, quantity: int) -> int:
        taken[good] = taken.get(good, 0) + quantity
        if inst.good_run[good] >= 0:
            beyond = taken[good] - int(inst.good_stock[good])
            return there[good][beyond - 1] if beyond > 0 else 0
        steps = range(inst.piece_ptr[good], inst.piece_ptr[good + 1])
        moments = [int(inst.piece_t[s]) for s in steps if inst.piece_count[s] >= taken[good]]
        return min(moments) if moments else NEVER

    job_ready: list[tuple[int, int]] = []  # in order of service: (job, moment)
    job_moments: dict[int, dict[int, int]] = {}
    batch_pieces: dict[int, int] = {}
    for b in order:
        for job in range(inst.job_ptr[b], inst.job_ptr[b + 1]):
            needs = range(inst.job_need_ptr[job], inst.job_need_ptr[job + 1])
            moments = [met(int(inst.job_good[i]), int(inst.job_qty[i])) for i in needs]
            job_ready.append((job, max(moments, default=0)))
            job_moments[job] = dict(zip(needs, moments, strict=True))
        own = range(inst.batch_need_ptr[b], inst.batch_need_ptr[b + 1])
        batch_pieces[b] = max((met(int(inst.batch_good[i]), int(inst.batch_qty[i])) for i in own), default=0)
    assembly = list(zip(inst.asm_start, inst.asm_end, inst.asm_people, strict=True))
    packing = list(zip(inst.pack_start, inst.pack_end, inst.pack_people, strict=True))
    if inst.finishing:
        job_ready = _finished(shop, job_ready, job_moments)
    job_ends, _ = _bench(assembly, [(j, ready, int(inst.job_work[j])) for j, ready in job_ready])
    to_pack = []
    for b in order:
        own_jobs = range(inst.job_ptr[b], inst.job_ptr[b + 1])
        units = [carried(inst, inst.finishing, inst.finishing + 1, job_ends[j]) for j in own_jobs]
        ready = max([batch_pieces[b], *units])
        to_pack.append((b, ready, int(inst.batch_work[b])))
    batch_ends, packed = _bench(packing, to_pack)
    return job_ends, batch_ends, packed


def _finished(
    shop: Workshop, job_ready: list[tuple[int, int]], moments: dict[int, dict[int, int]]
) -> list[tuple[int, int]]:
    """When jobs can be assembled once benches before are done with their parts, in the same order."""
    inst, done = shop.inst, {job: 0 for job, _ in job_ready}
    at: dict[int, int] = {}
    for bench in range(inst.finishing):
        span = range(inst.finish_ptr[bench], inst.finish_ptr[bench + 1])
        hours = [(int(inst.finish_start[k]), int(inst.finish_end[k]), int(inst.finish_people[k])) for k in span]
        waiting = []
        for job, _ in job_ready:
            work = int(inst.finish_work[bench, job])
            if work >= 0:
                own = [moment for i, moment in moments[job].items() if inst.need_first[i] == bench]
                come = carried(inst, at[job], bench, done[job]) if job in at else done[job]
                waiting.append((job, max([come, *own]), work))
        ends, _ = _bench(hours, waiting)
        for job, end in ends.items():
            done[job], at[job] = max(done[job], end + int(inst.finish_rest[bench, job])), bench
    for job, bench in at.items():
        done[job] = carried(inst, bench, inst.finishing, done[job])
    return [(job, max(ready, done[job])) for job, ready in job_ready]


def carried(inst: Instance, after: int, to: int, moment: int) -> int:
    """When what a bench is done with at a moment is at another: the first way that leaves no sooner."""
    way = int(inst.carry_way[after, to]) if inst.carrying else -1
    if way < 0:
        return moment
    ways = range(int(inst.trip_ptr[way]), int(inst.trip_ptr[way + 1]))
    return next((int(inst.trip_back[n]) for n in ways if inst.trip_leaves[n] >= moment), NEVER)


def dispatches(shop: Workshop, batch_ends: dict[int, int], packed: list[int]) -> dict[int, int]:
    inst = shop.inst
    loaded = [0] * len(inst.pickup_t)
    leaves: dict[int, int] = {}
    waves = {b: int(inst.batch_wave[b]) if inst.leaving else -1 for b in packed}
    for b in sorted(packed, key=lambda b: max(0, waves[b])):  # stable: in order of packing within a wave
        parcels = int(inst.batch_parcels[b])
        before = [int(inst.pickup_t[k]) for other, k in leaves.items() if -1 < waves[other] < waves[b]]
        ready = max([batch_ends[b], *before])
        for k, moment in enumerate(inst.pickup_t):
            whose = int(inst.pickup_carrier[k]) if inst.leaving else 0
            room = int(inst.carrier_parcels[whose]) if inst.leaving else inst.pickup_parcels
            mine = not inst.leaving or whose == inst.batch_carrier[b]
            if mine and moment >= ready and loaded[k] + parcels <= room:
                loaded[k] += parcels
                leaves[b] = k
                late = max(0, int(inst.pickup_day[k]) - int(inst.batch_due[b]))
                shop.lines["lateness"] += late * float(inst.batch_late_cost[b])
                break
        else:
            raise CannotBeDone
    for k, parcels in enumerate(loaded if inst.leaving else []):
        each = int(inst.pallet_parcels[inst.pickup_carrier[k]])
        if parcels and each:
            price = float(inst.pallet_price[inst.pickup_carrier[k]])
            shop.lines["lateness"] += ceil(Fraction(parcels, each)) * price
    shop.lines["lateness"] -= inst.pallets_least
    return leaves


def _bench(hours: list[tuple[int, int, int]], waiting: list[tuple[int, int, int]]) -> tuple[dict[int, int], list[int]]:
    """(end of each, order in which they were taken). waiting: (id, ready, person-seconds), first served first."""
    ends: dict[int, int] = {}
    taken: list[int] = []
    now = 0
    while waiting:
        now = max(now, min(ready for _, ready, _ in waiting))
        stretch = next(((o, c, n) for o, c, n in hours if c > now), None)
        if stretch is None:
            raise CannotBeDone
        now = max(now, int(stretch[0]))
        step = next(w for w in waiting if w[1] <= now)
        waiting.remove(step)
        left = step[2]
        if left:
            for opens, closes, people in hours:
                begin = max(now, int(opens))
                if closes <= begin:
                    continue
                done_here = min(left, (int(closes) - begin) * int(people))
                left -= done_here
                if left == 0:
                    now = begin + ceil(Fraction(done_here, int(people)))
                    break
            if left:
                raise CannotBeDone
        ends[step[0]] = now
        taken.append(step[0])
    return ends, taken

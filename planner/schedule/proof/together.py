"""Whether pack batches can all leave with one pick-up once the presses are settled: their jobs put in place backwards.

A relaxation: whatever else the benches do is left out, batches take parts in the order in which the assembly bench
takes their jobs, work may stop and go on at any part of a second. Then packing in the order in which batches are
assembled loses nothing, and counted back from the van each bench works without a pause, so that of two ways to have
put the same jobs in place the one that leaves assembly more time is as good.

Why: XS, seeds 4, 14, 26 and 39: leaves whose order of service was open, 4 to 10 money below the best plan. Capacity
of benches and shots alone does not see that the last parts still have to be assembled and packed.
"""

from planner.schedule import tape as t
from planner.schedule.bench_parts import moment_of, need_of
from planner.schedule.instance import Floats, Ints
from planner.schedule.jit import entry, inner
from planner.schedule.proof.branch_bounds import position

MOST_JOBS = 62
SLACK = 1e-3
"""Person-seconds that rounding may hide."""

TOGETHER, APART, UNDECIDED = range(3)
STEPS = 3
JOB, BATCH, FELLOWS = range(STEPS)
LEFT, TRIED = range(2)
ASSEMBLY, PACKING, WORK = range(3)


@entry
def together(
    ints: Ints, lots: Ints, pieces: Ints, links: Ints, hours: Floats, bench: Floats, need_ptr: Ints, goods: Ints,
    quantities: Ints, inside: Ints, order: Ints, until: int, most: int, steps: Ints, stack: Ints, at: Floats,
    rest: Ints, need: Ints, moment: Ints, source: Ints, found: Ints, reached: Ints, seen: Ints, best: Floats,
) -> int:  # fmt: skip
    """TOGETHER: batches where `inside` (B) is 1 can all be packed by `until`, and `found` (B) has the order in which
    they are (then -1). APART: no plan does it. UNDECIDED: too many jobs, or not settled in `most` steps; then
    `reached` (1) is where to go on with the same question. It is -1 at the beginning.

    need_ptr (A + 1), goods, quantities: what each job takes, goods alike named once. order (B): of service, tried
    first. hours, bench: see `branch_bounds.position`. Room, J for the jobs inside: steps (STEPS, J): job, its batch,
    the batch's jobs as bits; stack (J + 1, 2): jobs left as bits, the one tried; at (J + 1, 3): person-seconds of
    assembly and of packing left before what is in place, and work left; rest (J + 1, G): parts still to be taken;
    need, moment, source (1); seen, best (2^n): sets met before, and the most assembly that was left before them.
    """
    number = 0
    packing = working = 0.0
    for turn in range(order.size - 1, -1, -1):
        b = order[turn]
        if inside[b] == 0:
            continue
        packing += ints[ints[t.BATCH_WORK] + b]
        first = number
        for job in range(ints[ints[t.JOB_PTR] + b + 1] - 1, ints[ints[t.JOB_PTR] + b] - 1, -1):
            if number == MOST_JOBS:
                return UNDECIDED
            steps[JOB, number], steps[BATCH, number] = job, b
            working += ints[ints[t.JOB_WORK] + job]
            number += 1
        for n in range(first, number):
            steps[FELLOWS, n] = (1 << number) - (1 << first)
    end = position(hours, bench, 1, until)
    if packing > end + SLACK:
        return APART
    if number == 0:
        return UNDECIDED
    d = reached[0]
    if d < 0:
        for g in range(rest.shape[1]):
            rest[0, g] = 0
        for n in range(number):
            for i in range(need_ptr[steps[JOB, n]], need_ptr[steps[JOB, n] + 1]):
                rest[0, goods[i]] += quantities[i]
        for n in range(seen.size):
            seen[n] = 0
        stack[0, LEFT], stack[0, TRIED] = (1 << number) - 1, -1
        at[0, ASSEMBLY], at[0, PACKING], at[0, WORK] = position(hours, bench, 0, until), end, working
        d = 0
    done = 0
    while d >= 0:
        stack[d, TRIED] += 1
        n, left = stack[d, TRIED], stack[d, LEFT]
        if n == number:
            d -= 1
            continue
        if (left >> n) & 1 == 0:
            continue
        if done == most:
            stack[d, TRIED] -= 1
            reached[0] = d
            return UNDECIDED
        done += 1
        job = steps[JOB, n]
        work = float(ints[ints[t.JOB_WORK] + job])
        begin, packed = at[d, ASSEMBLY], at[d, PACKING]
        if left & steps[FELLOWS, n] == steps[FELLOWS, n]:  # the last of its batch's jobs: the batch is packed after it
            packed -= ints[ints[t.BATCH_WORK] + steps[BATCH, n]]
            begin = min(begin, _reached(hours, bench, packed))
        begin -= work
        fine = begin + SLACK >= at[d, WORK] - work
        after = left & ~(1 << n)
        for g in range(rest.shape[1]):
            rest[d + 1, g] = rest[d, g]
        for i in range(need_ptr[job], need_ptr[job + 1]):
            g = goods[i]
            fine = fine and _there(ints, lots, pieces, links, hours, bench, g, rest[d, g], need, moment, source, begin)
            rest[d + 1, g] -= quantities[i]
        # whatever goes before this one is begun sooner, and what it takes must be there
        for g in range(rest.shape[1]):
            if fine and rest[d + 1, g] > 0:
                fine = _there(
                    ints, lots, pieces, links, hours, bench, g, rest[d + 1, g], need, moment, source, begin
                )  # fmt: skip
        if not fine or not _new(after, begin, seen, best):
            continue
        d += 1
        stack[d, LEFT], stack[d, TRIED] = after, -1
        at[d, ASSEMBLY], at[d, PACKING], at[d, WORK] = begin, packed, at[d - 1, WORK] - work
        if after == 0:
            _written(stack, steps, d, found)
            return TOGETHER
    return APART


@inner
def _reached(hours: Floats, bench: Floats, packed: float) -> float:
    """Assembly's person-seconds when packing has `packed` behind it and goes on: the latest such moment."""
    if packed < 0.0:
        return -1.0
    low, high = 0, int(bench[1, 0])
    while high - low > 1:
        middle = (low + high) >> 1
        if bench[1, middle + 1] <= packed + SLACK:
            low = middle
        else:
            high = middle
    moment = hours[1, low, 0] + max(0.0, packed + SLACK - bench[1, low + 1]) / hours[1, low, 2]
    return float(position(hours, bench, 0, int(moment)))


@inner
def _there(
    ints: Ints, lots: Ints, pieces: Ints, links: Ints, hours: Floats, bench: Floats, g: int, parts: int, need: Ints,
    moment: Ints, source: Ints, begin: float,
) -> bool:  # fmt: skip
    """Whether so many of good g are there for a job that begins by so many person-seconds of assembly."""
    need[0] = need_of(ints, g, parts)
    moment_of(ints, lots, pieces, links, g, 0, need, moment, source)
    return bool(position(hours, bench, 0, moment[0]) <= begin + SLACK)


@inner
def _new(left: int, begin: float, seen: Ints, best: Floats) -> bool:
    """Whether these jobs were not left before with as much assembly before them; where there is room, it is noted."""
    if left == 0:
        return True
    size = seen.size
    n = (left ^ (left >> 17) ^ (left >> 31)) * 40503 & (size - 1)
    for _ in range(8):
        if seen[n] == left:
            if best[n] >= begin:
                return False
            best[n] = begin
            return True
        if seen[n] == 0:
            seen[n] = left
            best[n] = begin
            return True
        n = (n + 1) & (size - 1)
    return True


@inner
def _written(stack: Ints, steps: Ints, depth: int, found: Ints) -> None:
    """Batches in the order in which they are packed: they were put in place from the last one on."""
    number = 0
    for d in range(depth, 0, -1):
        n = stack[d - 1, TRIED]
        if stack[d - 1, LEFT] & steps[FELLOWS, n] == steps[FELLOWS, n]:
            found[number] = steps[BATCH, n]
            number += 1
    for n in range(number, found.size):
        found[n] = -1


@entry
def awaited(
    ints: Ints, lots: Ints, pieces: Ints, links: Ints, need_ptr: Ints, goods: Ints, quantities: Ints, inside: Ints,
    rest: Ints, need: Ints, moment: Ints, source: Ints, until: Ints,
) -> None:  # fmt: skip
    """until (B): when the last of all the parts is there that a batch shares with the others inside."""
    for g in range(rest.shape[1]):
        rest[0, g] = 0
    for twice in range(2):
        for b in range(inside.size):
            until[b] = 0
            for job in range(ints[ints[t.JOB_PTR] + b], ints[ints[t.JOB_PTR] + b + 1]):
                for i in range(need_ptr[job], need_ptr[job + 1]):
                    g = goods[i]
                    if twice == 0:
                        rest[0, g] += quantities[i] * inside[b]
                        continue
                    need[0] = need_of(ints, g, rest[0, g])
                    moment_of(ints, lots, pieces, links, g, 0, need, moment, source)
                    until[b] = max(until[b], moment[0])

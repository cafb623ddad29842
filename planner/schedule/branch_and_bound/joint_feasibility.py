"""Whether pack batches can all leave with one pick-up once the presses are settled: their jobs put in place backwards.

A relaxation: whatever else the benches do is left out, batches take parts in the order in which the assembly bench
takes their jobs, work may stop and go on at any part of a second. Then packing in the order in which batches are
assembled loses nothing, and counted back from the van each bench works without a pause, so that of two ways to have
put the same jobs in place the one that leaves assembly more time is as good.

Why: XS, seeds 4, 14, 26 and 39: leaves whose order of service was open, 4 to 10 money below the best plan. Capacity
of benches and shots alone does not see that the last parts still have to be assembled and packed.
"""

from typing import NamedTuple

from planner.schedule.bench_parts import moment_of, need_of
from planner.schedule.branch_and_bound.path_bounds import position
from planner.schedule.branch_and_bound.records import BenchHours
from planner.schedule.instance import Floats, Instance, Ints
from planner.schedule.jit import entry, inner
from planner.schedule.timing import Timing

MOST_JOBS = 62
SLACK = 1e-3
"""Person-seconds that rounding may hide."""

FEASIBLE, INFEASIBLE, UNDECIDED = range(3)
STEPS = 3
JOB, BATCH, FELLOWS = range(STEPS)
LEFT, TRIED = range(2)
ASSEMBLY, PACKING, WORK = range(3)


class Question(NamedTuple):
    """Batches that should leave together. A assembly jobs, B pack batches, G goods; J: the jobs inside."""

    hours: BenchHours
    need_ptr: Ints  # (A + 1) with goods and quantities: what each job takes, goods alike named once
    goods: Ints
    quantities: Ints
    inside: Ints  # (B) 1: the batch should leave with the others
    order: Ints  # (B) of service, tried first
    found: Ints  # (B)
    reached: Ints  # (1)
    steps: Ints  # (STEPS, J) job, its batch, the batch's jobs as bits
    stack: Ints  # (J + 1, 2) jobs left as bits, the one tried
    at: Floats  # (J + 1, 3) person-seconds of assembly and packing left before what is in place, and work left
    rest: Ints  # (J + 1, G) parts still to be taken


class Memory(NamedTuple):
    """Sets of jobs met before, and the most assembly that was left before them."""

    seen: Ints  # (2^n)
    best: Floats  # (2^n)


@entry
def jointly_feasible(inst: Instance, timing: Timing, question: Question, memory: Memory, until: int, most: int) -> int:
    """FEASIBLE: batches where `inside` (B) is 1 can all be packed by `until`, and `found` (B) has the order in which
    they are (then -1). INFEASIBLE: no plan does it. UNDECIDED: too many jobs, or not settled in `most` steps; then
    `reached` is where to go on with the same question. It is -1 at the beginning. timing: of the presses.
    """
    hours, need_ptr, goods, quantities = question.hours, question.need_ptr, question.goods, question.quantities
    steps, stack, at, rest, reached = question.steps, question.stack, question.at, question.rest, question.reached
    number, packing, working = _listed(inst, question)
    if number > MOST_JOBS:
        return UNDECIDED
    end = position(hours, 1, until)
    if packing > end + SLACK:
        return INFEASIBLE
    if number == 0:
        return UNDECIDED
    d = reached[0]
    if d < 0:
        _begun(question, memory, number)
        stack[0, LEFT], stack[0, TRIED] = (1 << number) - 1, -1
        at[0, ASSEMBLY], at[0, PACKING], at[0, WORK] = position(hours, 0, until), end, working
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
        work = float(inst.job_work[job])
        begin, packed = at[d, ASSEMBLY], at[d, PACKING]
        if left & steps[FELLOWS, n] == steps[FELLOWS, n]:  # the last of its batch's jobs: the batch is packed after it
            packed -= inst.batch_work[steps[BATCH, n]]
            begin = min(begin, _reached(hours, packed))
        begin -= work
        fine = begin + SLACK >= at[d, WORK] - work
        after = left & ~(1 << n)
        for g in range(rest.shape[1]):
            rest[d + 1, g] = rest[d, g]
        for i in range(need_ptr[job], need_ptr[job + 1]):
            g = goods[i]
            fine = fine and _there(inst, timing, hours, g, rest[d, g], begin)
            rest[d + 1, g] -= quantities[i]
        # whatever goes before this one is begun sooner, and what it takes must be there
        for g in range(rest.shape[1]):
            if fine and rest[d + 1, g] > 0:
                fine = _there(inst, timing, hours, g, rest[d + 1, g], begin)
        if not fine or not _new(memory, after, begin):
            continue
        d += 1
        stack[d, LEFT], stack[d, TRIED] = after, -1
        at[d, ASSEMBLY], at[d, PACKING], at[d, WORK] = begin, packed, at[d - 1, WORK] - work
        if after == 0:
            _written(stack, steps, d, question.found)
            return FEASIBLE
    return INFEASIBLE


@inner
def _listed(inst: Instance, question: Question) -> tuple[int, float, float]:
    """Write the jobs of the batches inside into `steps`, the last in the order of service first: how many there are
    (more than MOST_JOBS: too many), and person-seconds of packing and of assembly."""
    order, steps = question.order, question.steps
    number = 0
    packing = working = 0.0
    for turn in range(order.size - 1, -1, -1):
        b = order[turn]
        if question.inside[b] == 0:
            continue
        packing += inst.batch_work[b]
        first = number
        for job in range(inst.job_ptr[b + 1] - 1, inst.job_ptr[b] - 1, -1):
            if number == MOST_JOBS:
                return MOST_JOBS + 1, packing, working
            steps[JOB, number], steps[BATCH, number] = job, b
            working += inst.job_work[job]
            number += 1
        for n in range(first, number):
            steps[FELLOWS, n] = (1 << number) - (1 << first)
    return number, packing, working


@inner
def _begun(question: Question, memory: Memory, number: int) -> None:
    """Nothing is in place yet: all that the jobs take is still to be taken, and no set of them was met."""
    rest, need_ptr, steps = question.rest, question.need_ptr, question.steps
    for g in range(rest.shape[1]):
        rest[0, g] = 0
    for n in range(number):
        for i in range(need_ptr[steps[JOB, n]], need_ptr[steps[JOB, n] + 1]):
            rest[0, question.goods[i]] += question.quantities[i]
    for n in range(memory.seen.size):
        memory.seen[n] = 0


@inner
def _reached(bench: BenchHours, packed: float) -> float:
    """Assembly's person-seconds when packing has `packed` behind it and goes on: the latest such moment."""
    hours, worked = bench.hours, bench.worked
    if packed < 0.0:
        return -1.0
    low, high = 0, int(worked[1, 0])
    while high - low > 1:
        middle = (low + high) >> 1
        if worked[1, middle + 1] <= packed + SLACK:
            low = middle
        else:
            high = middle
    moment = hours[1, low, 0] + max(0.0, packed + SLACK - worked[1, low + 1]) / hours[1, low, 2]
    return float(position(bench, 0, int(moment)))


@inner
def _there(inst: Instance, timing: Timing, hours: BenchHours, g: int, parts: int, begin: float) -> bool:
    """Whether so many of good g are there for a job that begins by so many person-seconds of assembly."""
    moment, _ = moment_of(inst, timing, g, need_of(inst, g, parts))
    return bool(position(hours, 0, moment) <= begin + SLACK)


@inner
def _new(memory: Memory, left: int, begin: float) -> bool:
    """Whether these jobs were not left before with as much assembly before them; where there is room, it is noted."""
    seen, best = memory.seen, memory.best
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
def awaited(inst: Instance, timing: Timing, question: Question, until: Ints) -> None:
    """until (B): when the last of all the parts is there that a batch shares with the others inside."""
    need_ptr, goods, quantities = question.need_ptr, question.goods, question.quantities
    inside, rest = question.inside, question.rest
    for g in range(rest.shape[1]):
        rest[0, g] = 0
    for twice in range(2):
        for b in range(inside.size):
            until[b] = 0
            for job in range(inst.job_ptr[b], inst.job_ptr[b + 1]):
                for i in range(need_ptr[job], need_ptr[job + 1]):
                    g = goods[i]
                    if twice == 0:
                        rest[0, g] += quantities[i] * inside[b]
                        continue
                    moment, _ = moment_of(inst, timing, g, need_of(inst, g, rest[0, g]))
                    until[b] = max(until[b], moment)

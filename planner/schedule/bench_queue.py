"""One bench with all its people on one job or batch at a time: of what is ready, the first in order of service.

Ranks are all different, so what is ready is a set of bits, by rank: to put in and to take the first are a few steps,
however many wait. With 500 runs a heap took half of a bench's time.
"""

from planner.schedule import timing as w
from planner.schedule.instance import NEVER, Instance, Ints
from planner.schedule.jit import first_bit, inner
from planner.schedule.timing import Timing

ASSEMBLY, PACKING, BEFORE = range(3)
"""BEFORE: the first of the benches between press and assembly; the others follow it."""

BITS = 5
"""A word holds two to the power of so many bits."""

FEW_STRETCHES = 6
"""Ascending stretches of the last order up to which they are merged; more are sorted anew, digit by digit."""


@inner
def work_off(inst: Instance, timing: Timing, bench: int) -> bool:
    """Start and end of each step (assembly and before it: job, packing: batch). False: the bench's calendar ends.

    Writes the order in which steps were taken to the row PACKED.
    """
    if bench == ASSEMBLY:
        opens, closes, people, work = inst.asm_start, inst.asm_end, inst.asm_people, inst.job_work
        steps, rank, by_ready = timing.jobs, w.JOB_RANK, w.JOBS_BY_READY
    elif bench >= BEFORE:
        n, number = bench - BEFORE, timing.jobs.shape[0]
        a, b = inst.finish_ptr[n], inst.finish_ptr[n + 1]
        opens, closes, people = inst.finish_start[a:b], inst.finish_end[a:b], inst.finish_people[a:b]
        work = inst.finish_work[n]
        steps, rank = timing.finished[n * number : (n + 1) * number], w.JOB_RANK
        by_ready = w.QUEUE_COLUMNS + n
    else:
        opens, closes, people, work = inst.pack_start, inst.pack_end, inst.pack_people, inst.batch_work
        steps, rank, by_ready = timing.batches, w.BATCH_RANK, w.BATCHES_BY_READY
    queues, waiting = timing.queues, timing.waiting
    stretches, number = opens.size, steps.shape[0]
    if not _sort_by_ready(timing, steps, by_ready, number):
        return False
    for step in range(number):
        queues[w.BUFFER, queues[rank, step]] = step
    full = (1 << BITS) - 1
    words = (number + full) >> BITS
    for n in range(words + ((words + full) >> BITS)):
        waiting[n] = 0
    size = 0  # of those that wait
    following = 0
    now = 0
    k = 0
    for taken in range(number):
        if size == 0:
            now = max(now, steps[queues[by_ready, following], w.READY])
        # nothing starts while the bench is closed: wait for the opening, then see what is ready
        while k < stretches and closes[k] <= now:
            k += 1
        if k >= stretches:
            return False
        now = max(now, opens[k])
        while following < number and steps[queues[by_ready, following], w.READY] <= now:
            n = queues[rank, queues[by_ready, following]]
            waiting[n >> BITS] |= 1 << (n & full)
            waiting[words + (n >> 2 * BITS)] |= 1 << ((n >> BITS) & full)
            following += 1
            size += 1
        top = words
        while waiting[top] == 0:
            top += 1
        word = ((top - words) << BITS) + first_bit(waiting[top])
        first = (word << BITS) + first_bit(waiting[word])
        waiting[word] &= waiting[word] - 1
        if waiting[word] == 0:
            waiting[top] &= waiting[top] - 1
        size -= 1
        step = queues[w.BUFFER, first]
        queues[w.PACKED, taken] = step
        steps[step, w.STARTED] = now
        left = work[step]
        while left > 0:
            hands = people[k]
            available = (closes[k] - now) * hands
            if available >= left:
                now += left if hands == 1 else (left + hands - 1) // hands
                left = 0
            else:
                left -= available
                k += 1
                if k >= stretches:
                    return False
                now = opens[k]
        steps[step, w.ENDED] = now
    return True


@inner
def _sort_by_ready(timing: Timing, steps: Ints, by_ready: int, number: int) -> bool:
    """Sort the order of the last time by when steps are ready: little work where little changed. False: one never is.

    Steps ready at the same moment may come in any order: the bench looks at all of them before it takes one.
    """
    queues = timing.queues
    stretches, last, least, most = 1, -NEVER, NEVER, 0
    for n in range(number):
        ready = steps[queues[by_ready, n], w.READY]
        if ready < last:
            stretches += 1
        last = ready
        least = min(least, ready)
        most = max(most, ready)
    if most >= NEVER:
        return False
    if stretches > FEW_STRETCHES and number > w.DIGITS:
        _by_digits(timing, steps, by_ready, least, most)
    elif stretches > 1:
        _merge(queues, steps, by_ready, number)
    return True


@inner
def _merge(queues: Ints, steps: Ints, by_ready: int, number: int) -> None:
    """Merge ascending stretches, two by two, until one is left."""
    while True:
        stretches = 0
        a = 0
        while a < number:
            b = a + 1
            while b < number and steps[queues[by_ready, b - 1], w.READY] <= steps[queues[by_ready, b], w.READY]:
                b += 1
            if a == 0 and b == number:
                return
            c = min(b + 1, number)
            while c < number and steps[queues[by_ready, c - 1], w.READY] <= steps[queues[by_ready, c], w.READY]:
                c += 1
            i, j = a, b
            for n in range(a, c):
                if j >= c or (i < b and steps[queues[by_ready, i], w.READY] <= steps[queues[by_ready, j], w.READY]):
                    queues[w.BUFFER, n] = queues[by_ready, i]
                    i += 1
                else:
                    queues[w.BUFFER, n] = queues[by_ready, j]
                    j += 1
            stretches += 1
            a = c
        for n in range(number):
            queues[by_ready, n] = queues[w.BUFFER, n]
        if stretches <= 1:
            return


@inner
def _by_digits(timing: Timing, steps: Ints, by_ready: int, least: int, most: int) -> None:
    """Sort by the digits of when steps are ready, the last one first."""
    queues, digits = timing.queues, timing.digits
    number = steps.shape[0]
    shift = 0
    while (most - least) >> shift > 0:
        for d in range(w.DIGITS + 1):
            digits[d] = 0
        for n in range(number):
            digits[1 + (((steps[queues[by_ready, n], w.READY] - least) >> shift) & (w.DIGITS - 1))] += 1
        for d in range(w.DIGITS):
            digits[d + 1] += digits[d]
        for n in range(number):
            step = queues[by_ready, n]
            d = ((steps[step, w.READY] - least) >> shift) & (w.DIGITS - 1)
            queues[w.BUFFER, digits[d]] = step
            digits[d] += 1
        for n in range(number):
            queues[by_ready, n] = queues[w.BUFFER, n]
        shift += w.DIGIT_BITS

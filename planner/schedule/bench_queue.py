"""One bench with all its people on one job or batch at a time: of what is ready, the first in order of service."""

from planner.schedule import timing as w
from planner.schedule.instance import Instance, Ints
from planner.schedule.jit import inner
from planner.schedule.timing import Timing

ASSEMBLY, PACKING = range(2)


@inner
def work_off(inst: Instance, timing: Timing, bench: int) -> bool:
    """Start and end of each step (assembly: job, packing: batch). False: the bench's calendar ends.

    Writes the order in which steps were taken to the row PACKED.
    """
    if bench == ASSEMBLY:
        opens, closes, people, work = inst.asm_start, inst.asm_end, inst.asm_people, inst.job_work
        steps, rank, by_ready = timing.jobs, w.JOB_RANK, w.JOBS_BY_READY
    else:
        opens, closes, people, work = inst.pack_start, inst.pack_end, inst.pack_people, inst.batch_work
        steps, rank, by_ready = timing.batches, w.BATCH_RANK, w.BATCHES_BY_READY
    queues, heap = timing.queues, timing.heap
    stretches, number = opens.size, steps.shape[0]
    _sort_by_ready(steps, queues, by_ready, number)
    size = 0  # of the heap: what is ready, least rank on top
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
            step = queues[by_ready, following]
            following += 1
            i = size
            size += 1
            while i > 0 and queues[rank, heap[(i - 1) >> 1]] > queues[rank, step]:
                heap[i] = heap[(i - 1) >> 1]
                i = (i - 1) >> 1
            heap[i] = step
        step = heap[0]
        size -= 1
        moved = heap[size]
        i = 0
        while True:
            child = 2 * i + 1
            if child >= size:
                break
            if child + 1 < size and queues[rank, heap[child + 1]] < queues[rank, heap[child]]:
                child += 1
            if queues[rank, heap[child]] >= queues[rank, moved]:
                break
            heap[i] = heap[child]
            i = child
        heap[i] = moved
        queues[w.PACKED, taken] = step
        steps[step, w.STARTED] = now
        left = work[step]
        while left > 0:
            hands = people[k]
            available = (closes[k] - now) * hands
            if available >= left:
                now += (left + hands - 1) // hands
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
def _sort_by_ready(steps: Ints, queues: Ints, by_ready: int, number: int) -> None:
    """Merge the ascending stretches of the last order until one is left: little work where little changed.

    Steps ready at the same moment may come in any order: the bench looks at all of them before it takes one.
    """
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

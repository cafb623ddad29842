"""One bench with all its people on one job or batch at a time: of what is ready, the first in order of service."""

from planner.schedule import timing as w
from planner.schedule.instance import Ints
from planner.schedule.jit import inner


@inner
def work_off(
    ints: Ints,
    opens: int,
    closes: int,
    people: int,
    stretches: int,
    work: int,
    steps: Ints,
    queues: Ints,
    rank: int,
    by_ready: int,
    heap: Ints,
) -> bool:
    """Start and end of each step (job or batch). False: the bench's calendar ends.

    opens, closes, people, work: where these fields begin on the tape; rank, by_ready: rows of the queues' table.
    Writes the order in which steps were taken to the row PACKED.
    """
    number = steps.shape[0]
    _sort_by_ready(steps, queues, by_ready, number)
    size = 0  # of the heap: what is ready, least rank on top
    following = 0
    now = 0
    k = 0
    for taken in range(number):
        if size == 0:
            now = max(now, steps[queues[by_ready, following], w.READY])
        # nothing starts while the bench is closed: wait for the opening, then see what is ready
        while k < stretches and ints[closes + k] <= now:
            k += 1
        if k >= stretches:
            return False
        now = max(now, ints[opens + k])
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
        left = ints[work + step]
        while left > 0:
            hands = ints[people + k]
            available = (ints[closes + k] - now) * hands
            if available >= left:
                now += (left + hands - 1) // hands
                left = 0
            else:
                left -= available
                k += 1
                if k >= stretches:
                    return False
                now = ints[opens + k]
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

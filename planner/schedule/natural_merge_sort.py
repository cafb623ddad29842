"""The one sort of compiled code by keys: a natural merge sort (Knuth, The Art of Computer Programming, 5.2.4).

Stretches that ascend already are merged, two by two, until one is left: little work where little is out of order, and
still none that grows with the square where thousands are.
"""

from planner.schedule.instance import Ints
from planner.schedule.jit import inner


@inner
def sort_by_key(order: Ints, key: Ints, buffer: Ints) -> bool:
    """Sort what `order` numbers by its key, those alike as they stood; whether any moved. buffer: scratch."""
    number = order.size
    moved = False
    while number > 1:
        a = 0
        while a < number:
            b = a + 1
            while b < number and key[order[b - 1]] <= key[order[b]]:
                b += 1
            if a == 0 and b == number:
                return moved
            c = min(b + 1, number)
            while c < number and key[order[c - 1]] <= key[order[c]]:
                c += 1
            i, j = a, b
            for n in range(a, c):
                if j >= c or (i < b and key[order[i]] <= key[order[j]]):
                    buffer[n] = order[i]
                    i += 1
                else:
                    buffer[n] = order[j]
                    j += 1
            a = c
        for n in range(number):
            order[n] = buffer[n]
        moved = True
    return False

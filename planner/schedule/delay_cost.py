"""What it costs in all to have a press's lots from one place on later or earlier by so much, looked up in one go.

Why: with the sum of all breakpoints from each place on at hand, a stretch of lots shifted as a whole is priced by two
look-ups however long it is; walking it costs as many steps as it has lots. With 60 lots on one machine, 5 million
exchanges of two stretches are priced a second where a core takes 0.8 million estimates.
"""

from typing import NamedTuple

import numpy as np

from planner.schedule.instance import Floats, Ints
from planner.schedule.jit import inner


class OrderCosts(NamedTuple):
    """What the order of n lots on a press costs; index n: what the press holds before the first. K breakpoints in
    all."""

    seconds: Floats  # (n + 1, n) of the changeover from one lot to another
    money: Floats  # (n + 1, n) what it adds to the objective
    dear: Floats  # (n + 1, n) both in one figure, to tell dear changeovers from cheap ones
    own: Floats  # (n) working seconds of the lots
    ptr: Ints  # (n + 1) where each lot's breakpoints begin, earliest first
    at: Floats  # (K) working seconds from which on ...
    by: Floats  # (K) ... every second that the lot ends later adds so much more


class WaitSums(NamedTuple):
    """Of an order of n lots: the lots from a place on, shifted by between shift[m - 1] and shift[m], cost sums[2 m] a
    second, less sums[2 m + 1]."""

    size: Ints  # (n + 1) shifts that count
    shift: Floats  # (n + 1, K + 1)
    sums: Floats  # (n + 1, 2 * (K + 1))


def wait_sums(n: int, breakpoints: int) -> WaitSums:
    """Room for the sums of n lots with so many breakpoints in all."""
    shift, sums = np.zeros((n + 1, breakpoints + 1)), np.zeros((n + 1, 2 * (breakpoints + 1)))
    return WaitSums(np.zeros(n + 1, dtype=np.int64), shift, sums)


@inner
def add_up(order: Ints, ends: Floats, costs: OrderCosts, of: WaitSums) -> None:
    """Lay the sums out for an order of lots. ends (n): when the lot at each place ends."""
    ptr, at, by = costs.ptr, costs.at, costs.by
    size, shift, sums = of.size, of.shift, of.sums
    n = order.size
    size[n] = 0
    sums[n, 0] = sums[n, 1] = 0.0
    for i in range(n - 1, -1, -1):
        k, last = ptr[order[i]], ptr[order[i] + 1]
        number, m, behind = 0, 0, size[i + 1]
        slope = less = 0.0
        own = own_less = 0.0
        sums[i, 0] = sums[i, 1] = 0.0
        while k < last or m < behind:
            if k < last and (m >= behind or at[k] - ends[i] < shift[i + 1, m]):
                here = at[k] - ends[i]
                own += by[k]
                own_less += by[k] * here
                k += 1
            else:
                here = shift[i + 1, m]
                m += 1
                slope, less = sums[i + 1, 2 * m], sums[i + 1, 2 * m + 1]
            shift[i, number] = here
            number += 1
            sums[i, 2 * number] = slope + own
            sums[i, 2 * number + 1] = less + own_less
        size[i] = number


@inner
def shifted(of: WaitSums, place: int, later: float) -> float:
    """What the lots from a place on cost if all are so much later (earlier, if negative)."""
    shift, sums = of.shift, of.sums
    low, rest = 0, of.size[place]
    while rest > 0:
        half = rest >> 1
        if shift[place, low + half] < later:
            low += half + 1
            rest -= half + 1
        else:
            rest = half
    return float(sums[place, 2 * low] * later - sums[place, 2 * low + 1])

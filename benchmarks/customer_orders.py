"""Customer order scheduling: every order waits for its piece from each of several presses; weighted completions.

Instances are drawn with a seed: 15 orders on 3 presses, 1 to 99 seconds a piece, weights 1 to 10. Their optimum comes
from an exact method of its own, dynamic programming over sets of orders: some optimal schedule has the same order of
orders on every press and no idle time, so that a set is done when its busiest press is (Wagneur & Sriskandarajah, EJOR
68, 1993; from memory).
"""

import random
from collections.abc import Iterator, Sequence

import numpy as np

from benchmarks.plain_workshop import least_completion, workshop
from planner.schedule.instance import Instance

ORDERS, PRESSES = 15, 3


def drawn(seeds: range) -> Iterator[tuple[str, Instance, float]]:
    """(name, instance, optimum) of each seed."""
    for seed in seeds:
        draw = random.Random(seed)
        pieces = [[draw.randint(1, 99) for _ in range(ORDERS)] for _ in range(PRESSES)]
        weights = [draw.randint(1, 10) for _ in range(ORDERS)]
        yield f"orders_{ORDERS}_{PRESSES}_{seed}", asked(pieces, weights), least_weighted(pieces, weights)


def asked(pieces: Sequence[Sequence[int]], weights: Sequence[float]) -> Instance:
    """pieces (P, N): seconds of each order's piece on each press."""
    presses, orders = len(pieces), len(weights)
    seconds = [[-1] * (orders * p) + list(row) + [-1] * (orders * (presses - 1 - p)) for p, row in enumerate(pieces)]
    needs = [[orders * p + n for p in range(presses)] for n in range(orders)]
    return least_completion(workshop(seconds, needs=needs, weights=weights))


def least_weighted(pieces: Sequence[Sequence[int]], weights: Sequence[float]) -> float:
    """Least sum of weighted completions: whichever order of a set comes last is done when the whole set is."""
    orders = len(weights)
    sets = np.arange(1 << orders)
    held = [(sets >> n) & 1 == 1 for n in range(orders)]
    done = np.max([np.sum([np.where(held[n], row[n], 0) for n in range(orders)], axis=0) for row in pieces], axis=0)
    least = np.full(sets.size, np.inf)
    least[0] = 0.0
    size = np.sum(held, axis=0)
    for number in range(1, orders + 1):
        for n in range(orders):
            chosen = sets[(size == number) & held[n]]
            least[chosen] = np.minimum(least[chosen], least[chosen ^ (1 << n)] + weights[n] * done[chosen])
    return float(least[-1])

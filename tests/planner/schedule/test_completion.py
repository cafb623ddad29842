"""The cheapest way to place a set of lots, against trying them all."""

from itertools import permutations, product

import numpy as np
import pytest

from benchmarks.plain_workshop import workshop
from planner.schedule.completion import cheapest_rest


def test_cheapest_rest_is_what_trying_everything_gives() -> None:
    """Five lots, two presses, one lot that fits one press only: every set, every run before it."""
    rng = np.random.default_rng(3)
    lots = 5
    seconds = rng.integers(1, 20, (2, lots))
    seconds[1, 2] = -1
    inst = workshop(seconds.tolist())
    work = rng.uniform(1, 9, (2, lots))
    entry = rng.uniform(0, 9, (2, lots + 1, lots))
    rest = cheapest_rest(inst, work, entry, [[], []])

    def chain(p: int, order: tuple[int, ...], at: int) -> float:
        total = 0.0
        for j in order:
            total += work[p, j] + entry[p, at, j]
            at = j
        return total

    for chosen in range(1 << lots):
        mine = [j for j in range(lots) if (chosen >> j) & 1]
        for at in [j for j in range(lots) if j not in mine] + [lots]:
            best = np.inf
            for places in product(range(2), repeat=len(mine)):
                on = [[j for j, p in zip(mine, places, strict=True) if p == press] for press in range(2)]
                if 2 in on[1]:
                    continue
                cost = sum(min(chain(p, o, at if p == 0 else lots) for o in permutations(on[p])) for p in range(2))
                best = min(best, cost)
            assert rest[0, chosen, at] == pytest.approx(best)

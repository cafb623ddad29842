"""How many shots make enough good parts, surely enough.

Good parts of m moulded ones follow Binomial(m, 1 - scrap). The number moulded until the Q-th good one is negative
binomial, so the smallest m with P(good >= Q) >= confidence is its quantile.
Groover, Fundamentals of Modern Manufacturing, gives the expected start quantity Q / (1 - q); a plan wants the quantile.
All of this is for a known scrap rate; `planner.demand.scrap` mixes it over what the rate may turn out to be.
"""

import math
from collections.abc import Callable

import numpy as np


def chance_of_enough(moulded: int, needed: int, scrap: float) -> float:
    """P(at least `needed` good of `moulded` parts) when each is scrap with probability `scrap`."""
    if needed <= 0:
        return 1.0
    if moulded < needed:
        return 0.0
    if scrap <= 0:
        return 1.0
    # Sum over k scrapped parts, k = 0 .. moulded - needed, of C(m, k) q^k (1-q)^(m-k), in logarithms.
    spare = moulded - needed
    k = np.arange(1, spare + 1, dtype=np.float64)
    steps = np.log((moulded - k + 1) / k) + math.log(scrap) - math.log1p(-scrap)
    logs = np.concatenate(([0.0], np.cumsum(steps))) + moulded * math.log1p(-scrap)
    top = float(logs.max())
    return min(1.0, math.exp(top) * float(np.exp(logs - top).sum()))


def start_quantity(needed: int, scrap: float, confidence: float) -> int:
    """The smallest number of parts to mould with P(good >= needed) >= confidence. Negative-binomial quantile."""
    return shots_for(needed, 1, scrap, confidence)


def shots_for(needed: int, cavities: int, scrap: float, confidence: float) -> int:
    """The smallest number of shots of `cavities` parts each with P(good >= needed) >= confidence, scrap being known."""
    return fewest_shots(needed, cavities, scrap, confidence, lambda parts: chance_of_enough(parts, needed, scrap))


def fewest_shots(needed: int, cavities: int, scrap: float, confidence: float, chance: Callable[[int], float]) -> int:
    """The smallest number of shots whose parts have `chance` >= confidence; scrap: about how much of them is."""
    if needed <= 0:
        return 0
    low = -(-needed // cavities) - 1  # never enough: fewer parts than needed
    step = max(1, int(needed * scrap / (1 - scrap) / cavities))
    high = low + 1
    while chance(high * cavities) < confidence:
        low, high, step = high, high + step, step * 2
    while high - low > 1:
        middle = (low + high) // 2
        if chance(middle * cavities) >= confidence:
            high = middle
        else:
            low = middle
    return high

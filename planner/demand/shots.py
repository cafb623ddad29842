"""How many shots make enough good parts, surely enough.

Good parts of m moulded ones follow Binomial(m, 1 - scrap). The number moulded until the Q-th good one is negative
binomial, so the smallest m with P(good >= Q) >= confidence is its quantile.
Groover, Fundamentals of Modern Manufacturing, gives the expected start quantity Q / (1 - q); a plan wants the quantile.
"""

import math

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
    if needed <= 0:
        return 0
    return _smallest(needed, scrap, confidence, 1)


def shots_for(needed: int, cavities: int, scrap: float, confidence: float) -> int:
    """The smallest number of shots of `cavities` parts each with P(good >= needed) >= confidence."""
    if needed <= 0:
        return 0
    return _smallest(needed, scrap, confidence, cavities)


def _smallest(needed: int, scrap: float, confidence: float, per_shot: int) -> int:
    low = -(-needed // per_shot) - 1  # never enough: fewer parts than needed
    step = max(1, int(needed * scrap / (1 - scrap) / per_shot))
    high = low + 1
    while chance_of_enough(high * per_shot, needed, scrap) < confidence:
        low, high, step = high, high + step, step * 2
    while high - low > 1:
        middle = (low + high) // 2
        if chance_of_enough(middle * per_shot, needed, scrap) >= confidence:
            high = middle
        else:
            low = middle
    return high

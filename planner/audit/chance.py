"""How sure a number of parts is to hold enough good ones: the binomial distribution, summed term by term."""

import math
from functools import lru_cache


def chance_of_enough(parts: int, good: int, scrap: float) -> float:
    """P(at least `good` of `parts` are good), each being scrap on its own with share `scrap`.

    Sums P(scrapped = s) for s = 0 .. parts - good, each term from log-gamma.
    """
    if good <= 0:
        return 1.0
    if parts < good:
        return 0.0
    if scrap <= 0:
        return 1.0
    whole, log_scrap, log_good = math.lgamma(parts + 1), math.log(scrap), math.log1p(-scrap)
    return math.fsum(
        math.exp(
            whole - math.lgamma(bad + 1) - math.lgamma(parts - bad + 1) + bad * log_scrap + (parts - bad) * log_good
        )
        for bad in range(parts - good + 1)
    )


@lru_cache(maxsize=4096)
def shots_for(good: int, cavities: int, scrap: float, confidence: float) -> int:
    """The smallest number of shots that gives `good` good parts with at least that confidence."""
    if good <= 0:
        return 0
    many = -(-good // cavities)
    few = many - 1  # not even with every part good
    while chance_of_enough(many * cavities, good, scrap) < confidence - 1e-12:
        few, many = many, many + 1 + many // 20
    while many - few > 1:
        middle = (few + many) // 2
        if chance_of_enough(middle * cavities, good, scrap) < confidence - 1e-12:
            few = middle
        else:
            many = middle
    return many

"""How sharp a sampling plan is: its operating characteristic, as numbers and as points of a curve.

Lots from a running process: binomial (type B). A lot of known size: hypergeometric (type A).
Source: Montgomery, Introduction to Statistical Quality Control, "Lot-by-lot acceptance sampling for
attributes"; MIL-STD-105E 4.11.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import comb, exp, lgamma, log, log1p

# Above this many pieces exact integers are slower than logarithms and no better in double precision.
_EXACT_BELOW = 3000


def chance_accepted(n: int, accept: int, share_bad: float) -> float:
    """P(lot accepted) when each piece is bad with probability `share_bad` (0 to 1): binomial, type B."""
    _check(n, accept)
    if not 0.0 <= share_bad <= 1.0:
        raise ValueError(f"share of bad pieces {share_bad} is not between 0 and 1")
    if share_bad == 0.0 or accept >= n:
        return 1.0
    if share_bad == 1.0:
        return 0.0
    log_bad, log_good = log(share_bad), log1p(-share_bad)
    total = sum(exp(_log_comb(n, d) + d * log_bad + (n - d) * log_good) for d in range(accept + 1))
    return min(total, 1.0)


def chance_lot_accepted(lot: int, bad: int, n: int, accept: int) -> float:
    """P(accepted) for a lot of `lot` pieces of which `bad` are bad: hypergeometric, type A."""
    _check(n, accept)
    if not 0 <= bad <= lot or n > lot:
        raise ValueError(f"a lot of {lot} cannot hold {bad} bad pieces and give a sample of {n}")
    most = min(accept, bad, n)
    least = max(0, n - (lot - bad))
    if most >= min(bad, n):
        return 1.0
    if lot < _EXACT_BELOW:
        ways = sum(comb(bad, d) * comb(lot - bad, n - d) for d in range(least, most + 1))
        return ways / comb(lot, n)
    whole = _log_comb(lot, n)
    total = sum(exp(_log_comb(bad, d) + _log_comb(lot - bad, n - d) - whole) for d in range(least, most + 1))
    return min(total, 1.0)


def share_bad_at(n: int, accept: int, chance: float) -> float:
    """The share of bad pieces (0 to 1) at which a lot is accepted with the given chance (0 < chance < 1).

    The curve falls all the way, so halving the interval finds the one answer.
    """
    _check(n, accept)
    if not 0.0 < chance < 1.0:
        raise ValueError(f"chance {chance} must lie between 0 and 1")
    low, high = 0.0, 1.0
    for _ in range(60):
        middle = (low + high) / 2
        if chance_accepted(n, accept, middle) > chance:
            low = middle
        else:
            high = middle
    return (low + high) / 2


@dataclass(frozen=True)
class Characteristic:
    """Operating characteristic of one plan.

    points: (share bad, P accepted), share bad rising from 0; for a picture.
    producer: share bad still accepted 95 times in 100; indifferent: 50; consumer: 10.
    """

    points: tuple[tuple[float, float], ...]
    producer: float
    indifferent: float
    consumer: float


def characteristic(n: int, accept: int, steps: int = 40) -> Characteristic:
    """The curve of a plan (type B), from no bad pieces to where one lot in fifty is still accepted."""
    end = share_bad_at(n, accept, 0.02)
    shares: Sequence[float] = [end * i / steps for i in range(steps + 1)]
    return Characteristic(
        points=tuple((share, chance_accepted(n, accept, share)) for share in shares),
        producer=share_bad_at(n, accept, 0.95),
        indifferent=share_bad_at(n, accept, 0.50),
        consumer=share_bad_at(n, accept, 0.10),
    )


def _check(n: int, accept: int) -> None:
    if n < 1 or accept < 0:
        raise ValueError(f"a plan needs n >= 1 and Ac >= 0, not n {n} and Ac {accept}")


def _log_comb(n: int, k: int) -> float:
    return lgamma(n + 1) - lgamma(k + 1) - lgamma(n - k + 1)

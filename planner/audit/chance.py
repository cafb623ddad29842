"""How sure a number of parts is to hold enough good ones: binomial sums, mixed over what scrap may turn out to be."""

import math
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from pydantic import TypeAdapter

from planner.audit.figures import exact
from planner.campaign import Campaign
from planner.campaign.common_case import tool_uncertainty
from planner.campaign.tools import Tool
from planner.campaign.uncertainty import Fitted, Spread, ThreePoint

Floats = NDArray[np.float64]

NONE = Fraction(0)

MOST = 0.95
"""No tool makes more scrap than this."""

SLACK = 2e-5
"""What two ways of summing a chance may differ by."""

_LEGENDRE = np.polynomial.legendre.leggauss(16)


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


def law_of(campaign: Campaign, tool: Tool) -> Spread | None:
    """What may turn out to be scrap of what the tool moulds; none: its scrap share, as if that were known."""
    name = next(name for name, one in campaign.tools.items() if one is tool)
    unsure = tool_uncertainty(campaign, name)
    return None if campaign.scrap_taken == "known" or unsure is None else unsure.scrap_share


def chance(law: Spread | None, parts: int, good: int, scrap: float, spoils: Fraction = NONE) -> float:
    """P(at least `good` of `parts` are good), over the law where there is one; of what is not scrap work after the
    press spoils a share on top."""
    if law is None or good <= 0 or parts < good:
        return chance_of_enough(parts, good, in_all(scrap, spoils))
    if isinstance(law, ThreePoint) and law.early >= law.late:
        return chance_of_enough(parts, good, in_all(law.likely, spoils))
    return chance_over(law.model_dump_json(), parts, good, float(spoils))


def in_all(scrap: float, spoils: Fraction) -> float:
    """Share lost to scrap and to work after the press."""
    return float(1 - (1 - exact(scrap)) * (1 - spoils)) if spoils else scrap


class Wanted(NamedTuple):
    """good: parts that are to be good. spoils: share of good mouldings that work after the press spoils."""

    good: int
    cavities: int
    scrap: float
    spoils: Fraction = NONE


def fewest(law: Spread | None, wanted: Wanted, confidence: float, told: int) -> int:
    """The smallest number of shots that gives the good parts with that confidence.

    `told` where two ways of summing may differ about it.
    """
    good, cavities, scrap, spoils = wanted
    if good <= 0:
        return 0
    if law is None:
        return shots_for(good, cavities, in_all(scrap, spoils), confidence)

    def enough(shots: int, sure: float) -> bool:
        return chance(law, shots * cavities, good, scrap, spoils) >= sure

    if told > 0 and enough(told, confidence - SLACK) and not enough(told - 1, confidence + SLACK):
        return told
    few, many = -(-good // cavities) - 1, -(-good // cavities)
    while not enough(many, confidence):
        few, many = many, many + 1 + many // 20
    while many - few > 1:
        middle = (few + many) // 2
        few, many = (few, middle) if enough(middle, confidence) else (middle, many)
    return many


_SPREAD = TypeAdapter[Spread](Spread)


@lru_cache(maxsize=8192)
def chance_over(law: str, parts: int, good: int, spoils: float = 0.0) -> float:
    """P(at least `good` of `parts` are good) over a law of scrap, given as its document: Gauss-Legendre in panels that
    are narrow where the binomial sum is steep. What the law puts below no scrap or above 0.95 lies there."""
    spread = _SPREAD.validate_json(law)
    low, high = _ends(spread)
    steep = (parts - good) / parts
    near = math.sqrt(max(steep * (1 - steep), 1 / parts) / parts) / (1 - spoils)
    steep = 1 - (1 - steep) / (1 - spoils) if spoils else steep
    cuts = {low, high, 0.0, MOST, *(low + (high - low) * share for share in (0.002, 0.02, 0.1, 0.3, 0.6, 0.9, 0.98))}
    cuts |= {steep + near * step for step in (-8, -4, -2, -1, 0, 1, 2, 4, 8)}
    if isinstance(spread, ThreePoint):
        cuts.add(spread.likely)
        if spread.shape == "pert":  # its density may have no end at an end
            steps = [(high - low) * 0.25**step for step in range(2, 24)]
            cuts |= {low + step for step in steps} | {high - step for step in steps}
    edges = np.array(sorted(cut for cut in cuts if low <= cut <= high))
    points, weights = _LEGENDRE
    half = np.diff(edges)[:, None] / 2
    shares = (edges[:-1, None] + half * (1 + points)).ravel()
    mass = (half * weights).ravel() * _density(spread, shares)
    lost = np.clip(shares, 0.0, MOST)
    surely = _tail(1 - (1 - lost) * (1 - spoils) if spoils else lost, parts, good)
    return float(mass @ surely / mass.sum())


def _ends(law: Spread) -> tuple[float, float]:
    if isinstance(law, ThreePoint):
        return law.early, law.late
    if law.shape == "normal":
        return law.mean - 9 * law.sd, law.mean + 9 * law.sd
    sd = math.sqrt(math.log1p((law.sd / law.mean) ** 2))
    return tuple(math.exp(math.log(law.mean) - sd * sd / 2 + step * sd) for step in (-9, 9))  # type: ignore[return-value]


def _density(law: Spread, x: Floats) -> Floats:
    """In proportion to the law's density."""
    found: Floats
    if isinstance(law, Fitted):
        if law.shape == "normal":
            return np.exp(-(((x - law.mean) / law.sd) ** 2) / 2)
        variance = math.log1p((law.sd / law.mean) ** 2)
        found = np.exp(-((np.log(x) - math.log(law.mean) + variance / 2) ** 2) / (2 * variance)) / x
        return found
    width = law.late - law.early
    t, mode = (x - law.early) / width, (law.likely - law.early) / width
    if law.shape == "triangular":
        found = np.where(t < mode, t / max(mode, 1e-300), (1 - t) / max(1 - mode, 1e-300))
        return found
    both = 6.0
    if law.shape == "pert":  # mean (a + 4m + b) / 6, deviation (b - a) / 6
        mean = (1 + 4 * mode) / 6
        both = 36 * mean * (1 - mean) - 1
    alpha = both * (1 + 4 * mode) / 6
    found = t ** (alpha - 1) * (1 - t) ** (both - alpha - 1)
    return found


def _tail(scrap: Floats, parts: int, good: int) -> Floats:
    """P(at least `good` of `parts` are good) for each scrap share: the incomplete beta function, a continued fraction.

    Abramowitz and Stegun, Handbook of Mathematical Functions, 26.5.8 and 26.5.24.
    """
    a, b, x = float(good), parts - good + 1.0, 1 - scrap
    other = x > (a + 1) / (a + b + 2)
    p, q = np.where(other, b, a), np.where(other, a, b)
    y = np.where(other, 1 - x, x)
    with np.errstate(divide="ignore"):
        front = np.exp(
            math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + p * np.log(y) + q * np.log1p(-y) - np.log(p)
        )
    front = np.where(y <= 0, 0.0, front)
    c, d = np.ones_like(y), 1 / (1 - (p + q) * y / (p + 1))
    h = d.copy()
    for n in range(1, 100_000):
        even = n * (q - n) * y / ((p + 2 * n - 1) * (p + 2 * n))
        d, c = 1 / (1 + even * d), 1 + even / c
        h = h * d * c
        odd = -(p + n) * (p + q + n) * y / ((p + 2 * n) * (p + 2 * n + 1))
        d, c = 1 / (1 + odd * d), 1 + odd / c
        step = d * c
        h = h * step
        if np.abs(step - 1).max() < 1e-12:
            break
    result: Floats = np.where(other, 1 - front * h, front * h)
    return result


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

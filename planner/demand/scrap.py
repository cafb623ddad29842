"""What may turn out to be scrap of what a tool moulds, and how sure a number of parts is to be enough over all of it.

P(at least Q good of m | scrap s) is P(B > s) for B ~ Beta(m - Q + 1, Q), as for the order statistics of uniform numbers
(Johnson, Kotz, Balakrishnan, Continuous Univariate Distributions 2, chapter 25). Mixed over a law of scrap it is the
mean over B of P(scrap <= B): one sum, however many parts there are.
"""

import math
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from planner.campaign import Campaign
from planner.campaign.common_case import tool_uncertainty
from planner.campaign.finishing import scrap_from
from planner.campaign.uncertainty import Fitted, Spread, ThreePoint, beta_shape
from planner.demand.shots import chance_of_enough, fewest_shots, shots_for

Floats = NDArray[np.float64]

MOST = 0.95
"""No tool makes more scrap than this; less than none neither."""

FAR = 40.0
"""Standard deviations either side of its mean that hold all of a beta distribution that matters here."""

POINTS = 4096
FEW_POINTS = 512
"""Enough to come near a number of shots; which one it is the others decide."""

GRID = 20_000


def scrap_law(campaign: Campaign, tool: str) -> Spread | None:
    """What is not sure about a tool's scrap: what the campaign says of it, else the common case.

    None where the campaign takes it as known, where it says what is not sure and scrap is not among it, and where there
    is no scrap to be unsure of.
    """
    if campaign.scrap_taken == "known":
        return None
    said = tool_uncertainty(campaign, tool)
    spread = said.scrap_share if said is not None else None
    if isinstance(spread, ThreePoint) and spread.early == spread.late == campaign.tools[tool].scrap_share:
        return None
    return spread


def spoilt(campaign: Campaign, part: str) -> float:
    """Share of good mouldings that the part's finishing spoils."""
    return float(scrap_from(campaign.parts[part].finishing))


def lost(scrap: float, spoils: float) -> float:
    """Share of what is moulded that is no good in the end: scrap, and what finishing spoils of the rest."""
    return scrap if spoils == 0 else 1 - (1 - scrap) * (1 - spoils)


def chance_of_good(campaign: Campaign, tool: str, moulded: int, needed: int, spoils: float = 0.0) -> float:
    """P(at least `needed` good of `moulded` parts of a tool), over what its scrap may be or for its known scrap.

    spoils: share of good mouldings that finishing spoils.
    """
    law = scrap_law(campaign, tool)
    if law is None:
        return chance_of_enough(moulded, needed, lost(campaign.tools[tool].scrap_share, spoils))
    return chance_over(law, moulded, needed, spoils)


def shots_of(campaign: Campaign, tool: str, cavities: int, needed: int, spoils: float = 0.0) -> int:
    """The fewest shots of a tool that give `needed` good parts as surely as the campaign asks for."""
    law, scrap = scrap_law(campaign, tool), lost(campaign.tools[tool].scrap_share, spoils)
    if law is None:
        return shots_for(needed, cavities, scrap, campaign.confidence)
    sure = campaign.confidence

    def near(parts: int) -> float:
        return chance_over(law, parts, needed, spoils, FEW_POINTS)

    shots, least = fewest_shots(needed, cavities, scrap, sure, near), -(-needed // cavities)
    while chance_over(law, shots * cavities, needed, spoils) < sure:
        shots += 1
    while shots > least and chance_over(law, (shots - 1) * cavities, needed, spoils) >= sure:
        shots -= 1
    return shots


def chance_over(law: Spread, moulded: int, needed: int, spoils: float = 0.0, points_taken: int = POINTS) -> float:
    """P(at least `needed` good of `moulded` parts), scrap being what the law says, `spoils` of the rest lost too."""
    if needed <= 0:
        return 1.0
    if moulded < needed:
        return 0.0
    points, weights = _beta_points(moulded - needed + 1.0, float(needed), points_taken)
    if spoils > 0:  # in all lost at most x where scrap is at most 1 - (1 - x) / (1 - spoils)
        points = 1 - (1 - points) / (1 - spoils)
    return min(1.0, max(0.0, float(weights @ at_most(law, points))))


def at_most(law: Spread, scrap: Floats) -> Floats:
    """P(scrap <= s) for each s within 0 and 1; what the law puts beyond 0 and MOST lies there."""
    if isinstance(law, Fitted):
        if law.shape == "normal":
            z = (scrap - law.mean) / law.sd
        else:
            deviation = math.sqrt(math.log1p((law.sd / law.mean) ** 2))
            z = (np.log(np.maximum(scrap, 1e-300)) - math.log(law.mean) + deviation**2 / 2) / deviation
        below = 0.5 * np.array([math.erfc(-one / math.sqrt(2)) for one in z])
    elif law.late <= law.early:
        below = (scrap >= law.likely).astype(float)
    else:
        x = np.clip((scrap - law.early) / (law.late - law.early), 0, 1)
        mode = (law.likely - law.early) / (law.late - law.early)
        if law.shape == "triangular":
            below = np.where(
                x < mode, x * x / mode if mode > 0 else 0.0, 1 - (1 - x) ** 2 / (1 - mode) if mode < 1 else 1.0
            )
        else:
            below = np.interp(x, *_beta_cumulated(*beta_shape(law)))
    result: Floats = np.where(scrap >= MOST, 1.0, np.where(scrap < 0, 0.0, below))
    return result


@lru_cache(maxsize=256)
def _beta_cumulated(alpha: float, beta: float) -> tuple[Floats, Floats]:
    """Points of 0 to 1, dense at both ends, and P(X <= point) of a beta distribution."""
    edges = (1 - np.cos(np.pi * np.arange(GRID + 1) / GRID)) / 2
    s = (np.arange(GRID) + 0.5) / GRID
    x = (1 - np.cos(np.pi * s)) / 2
    logs = (alpha - 1) * np.log(x) + (beta - 1) * np.log1p(-x) + np.log(np.sin(np.pi * s))
    reached = np.concatenate(([0.0], np.cumsum(np.exp(logs - logs.max()))))
    return edges, reached / reached[-1]


@lru_cache(maxsize=4)
def _steps(points: int) -> tuple[Floats, Floats]:
    """So many points of 0 to 1, dense at both ends, and the logarithms of what each stands for."""
    steps = (np.arange(points) + 0.5) / points
    return (1 - np.cos(np.pi * steps)) / 2, np.log(np.sin(np.pi * steps))


def _beta_points(alpha: float, beta: float, points: int) -> tuple[Floats, Floats]:
    """So many points of 0 to 1 where Beta(alpha, beta) has its mass, and their weights."""
    mean = alpha / (alpha + beta)
    reach = FAR * math.sqrt(mean * (1 - mean) / (alpha + beta + 1))
    low, high = max(0.0, mean - reach), min(1.0, mean + reach)
    within, log_steps = _steps(points)
    x = low + (high - low) * within
    logs = (alpha - 1) * np.log(x) + (beta - 1) * np.log1p(-x) + log_steps
    mass = np.exp(logs - logs.max())
    return x, mass / mass.sum()

"""Quantiles of three-point and fitted distributions: a uniform number in, a value out.

PERT's beta: Malcolm, Roseboom, Clark, Fazar, Operations Research 7(5) 1959 (mean (a + 4m + b) / 6, deviation
(b - a) / 6). Beta-PERT: weight 4 on the likely value, alpha = 1 + 4 (m - a) / (b - a).
"""

import math
from statistics import NormalDist

import numpy as np

from planner.campaign.uncertainty import Fitted, Spread, ThreePoint
from planner.schedule.instance import Floats

GRID = 8192
"""Points at which the beta's density is summed up; against the exact quantile it is off by less than 1e-4 of the
range."""


def quantiles(spread: Spread, chance: Floats) -> Floats:
    """The values below which the distribution stays with these chances (each strictly between 0 and 1)."""
    if isinstance(spread, Fitted):
        return _fitted(spread, chance)
    width = spread.late - spread.early
    if width <= 0:
        return np.full(chance.shape, float(spread.likely))
    mode = (spread.likely - spread.early) / width
    if spread.shape == "triangular":
        below = np.sqrt(chance * mode)
        above = 1 - np.sqrt((1 - chance) * (1 - mode))
        return np.asarray(spread.early + width * np.where(chance < mode, below, above))
    alpha, beta = beta_shape(spread)
    return spread.early + width * _beta(alpha, beta, chance)


def beta_shape(spread: ThreePoint) -> tuple[float, float]:
    """Alpha and beta of a three-point's beta distribution on its range."""
    mode = (spread.likely - spread.early) / (spread.late - spread.early)
    if spread.shape == "beta-pert":
        return 1 + 4 * mode, 1 + 4 * (1 - mode)
    mean = (1 + 4 * mode) / 6
    both = mean * (1 - mean) * 36 - 1  # the deviation is a sixth of the range
    return mean * both, (1 - mean) * both


def _beta(alpha: float, beta: float, chance: Floats) -> Floats:
    # x = (1 - cos(pi s)) / 2 puts points where a density below power 1 is steep; s stays off the ends
    s = (np.arange(GRID) + 0.5) / GRID
    x = (1 - np.cos(np.pi * s)) / 2
    logs = (alpha - 1) * np.log(x) + (beta - 1) * np.log1p(-x) + np.log(np.sin(np.pi * s))
    mass = np.exp(logs - logs.max())
    reached = np.concatenate(([0.0], np.cumsum(mass)))
    edges = (1 - np.cos(np.pi * np.arange(GRID + 1) / GRID)) / 2
    return np.interp(chance, reached / reached[-1], edges)


def _fitted(spread: Fitted, chance: Floats) -> Floats:
    standard = NormalDist().inv_cdf
    z = np.array([standard(float(u)) for u in chance])
    if spread.shape == "normal":
        return spread.mean + spread.sd * z
    deviation = math.sqrt(math.log1p((spread.sd / spread.mean) ** 2))
    return np.exp(math.log(spread.mean) - deviation**2 / 2 + deviation * z)

"""Quantiles of three-point and fitted distributions: a uniform number in, a value out.

PERT's beta: Malcolm, Roseboom, Clark, Fazar, Operations Research 7(5) 1959 (mean (a + 4m + b) / 6, deviation
(b - a) / 6). Beta-PERT: weight 4 on the likely value, alpha = 1 + 4 (m - a) / (b - a).
"""

import math
from functools import lru_cache

import numpy as np

from planner.campaign.uncertainty import Fitted, Spread, beta_shape
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


def _beta(alpha: float, beta: float, chance: Floats) -> Floats:
    return np.interp(chance, _reached(alpha, beta), _grid()[1])


@lru_cache(maxsize=64)
def _reached(alpha: float, beta: float) -> Floats:
    """(GRID + 1) the chance to stay below each edge of the grid. Kept: a campaign's factors share a few shapes."""
    (log_x, log_rest, log_sine), _ = _grid()
    logs = (alpha - 1) * log_x + (beta - 1) * log_rest + log_sine
    mass = np.exp(logs - logs.max())
    reached = np.concatenate(([0.0], np.cumsum(mass)))
    return np.asarray(reached / reached[-1])


@lru_cache(maxsize=1)
def _grid() -> tuple[tuple[Floats, Floats, Floats], Floats]:
    """Logarithms of x, of 1 - x and of the points' width, at the middle of each step; and the steps' edges."""
    # x = (1 - cos(pi s)) / 2 puts points where a density below power 1 is steep; s stays off the ends
    s = (np.arange(GRID) + 0.5) / GRID
    x = (1 - np.cos(np.pi * s)) / 2
    edges = (1 - np.cos(np.pi * np.arange(GRID + 1) / GRID)) / 2
    return (np.log(x), np.log1p(-x), np.log(np.sin(np.pi * s))), edges


def _fitted(spread: Fitted, chance: Floats) -> Floats:
    z = normal(chance)
    if spread.shape == "normal":
        return spread.mean + spread.sd * z
    deviation = math.sqrt(math.log1p((spread.sd / spread.mean) ** 2))
    return np.exp(math.log(spread.mean) - deviation**2 / 2 + deviation * z)


_MIDDLE = (
    (2509.0809287301226727, 33430.575583588128105, 67265.770927008700853, 45921.953931549871457,
     13731.693765509461125, 1971.5909503065514427, 133.14166789178437745, 3.3871328727963666080),
    (5226.4952788528545610, 28729.085735721942674, 39307.895800092710610, 21213.794301586595867,
     5394.1960214247511077, 687.18700749205790830, 42.313330701600911252, 1.0),
)  # fmt: skip
_TAIL = (
    (7.74545014278341407640e-4, 2.27238449892691845833e-2, 2.41780725177450611770e-1, 1.27045825245236838258,
     3.64784832476320460504, 5.76949722146069140550, 4.63033784615654529590, 1.42343711074968357734),
    (1.05075007164441684324e-9, 5.47593808499534494600e-4, 1.51986665636164571966e-2, 1.48103976427480074590e-1,
     6.89767334985100004550e-1, 1.67638483018380384940, 2.05319162663775882187, 1.0),
)  # fmt: skip
_FAR_TAIL = (
    (2.01033439929228813265e-7, 2.71155556874348757815e-5, 1.24266094738807843860e-3, 2.65321895265761230930e-2,
     2.96560571828504891230e-1, 1.78482653991729133580, 5.46378491116411436990, 6.65790464350110377720),
    (2.04426310338993978564e-15, 1.42151175831644588870e-7, 1.84631831751005468180e-5, 7.86869131145613259100e-4,
     1.48753612908506148525e-2, 1.36929880922735805310e-1, 5.99832206555887937690e-1, 1.0),
)  # fmt: skip


def normal(chance: Floats) -> Floats:
    """Quantiles of the standard normal distribution, all at once.

    Algorithm AS 241, PPND16: Wichura, Applied Statistics 37(3), 1988; good to about 1 part in 10^16.
    """
    q = chance - 0.5
    r = 0.180625 - q * q
    z = np.asarray(q * np.polyval(_MIDDLE[0], r) / np.polyval(_MIDDLE[1], r))
    out = np.flatnonzero(np.abs(q) > 0.425)
    if out.size:
        own = q[out]
        s = np.sqrt(-np.log(np.where(own < 0, chance[out], 1 - chance[out])))
        near = np.polyval(_TAIL[0], s - 1.6) / np.polyval(_TAIL[1], s - 1.6)
        far = np.polyval(_FAR_TAIL[0], s - 5) / np.polyval(_FAR_TAIL[1], s - 5)
        z[out] = np.copysign(np.where(s <= 5, near, far), own)
    return z

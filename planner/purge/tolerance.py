"""How clean is clean: the largest fraction of the old colour that nobody can see on the new surface."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from planner.purge.bands import MEASURED_WEIGHTS, RGB_WEIGHTS
from planner.purge.colour import Appearance
from planner.purge.difference import Array, ciede2000, lab_of
from planner.purge.finish import EFFECTS
from planner.purge.mixing import absorption_ratio, mixed_ratio, reflectance_of

# Default tolerances in CIEDE2000 by class of surface. Common practice, no source: about 1 is what a
# practised eye tells apart side by side, about 3 what is passed where nobody compares.
VISIBLE_FACE = 1.0
HIDDEN_PART = 3.0

SMALLEST_FRACTION = 1e-9
_SCAN = np.geomspace(SMALLEST_FRACTION, 1.0, 25)
_HALVINGS = 24


def clean_fractions(appearances: Sequence[Appearance], tolerance: ArrayLike = VISIBLE_FACE) -> Array:
    """Return x* (n, n): the old fraction from which on melt i passes as clean melt j, at [i, j].

    Washing brings the fraction down from 1, so x* is the largest fraction below which *every* fraction is
    within the tolerance; a mixture that merely passes near the new colour on its way doesn't count. 1 where
    even the old colour itself is within the tolerance.

    tolerance: CIEDE2000, above 0: one figure, one per new melt (n,), or one per pair (n, n).

    Pairs measured in bands both are mixed band by band, all others in the three bands of linear light.
    Raises ValueError for a tolerance that is not above 0.
    """
    n = len(appearances)
    allowed = np.array(np.broadcast_to(np.asarray(tolerance, float), (n, n)))
    if not (np.isfinite(allowed) & (allowed > 0)).all():
        raise ValueError("tolerance must be above 0 CIEDE2000; a usual visible face has 1")
    return _fractions(tuple(appearances), allowed.tobytes()).copy()


@lru_cache(maxsize=128)
def _fractions(appearances: tuple[Appearance, ...], tolerance: bytes) -> Array:
    """A plan asks several times for the same colours, and so does the next one. tolerance: one per pair (n, n)."""
    n = len(appearances)
    allowed = np.frombuffer(tolerance).reshape(n, n) * _speck_factors(appearances)
    fractions = np.ones((n, n))
    measured = np.array([a.measured is not None for a in appearances], dtype=bool)
    by_band = measured[:, None] & measured[None, :]
    apart = ~np.eye(n, dtype=bool)
    strength = np.array([a.strength * EFFECTS[a.finish].strength for a in appearances])

    rgb = _Inks(absorption_ratio(np.array([a.rgb for a in appearances]).reshape(n, 3)), strength, RGB_WEIGHTS)
    _fill(fractions, allowed, apart & ~by_band, rgb)
    if (apart & by_band).any():
        flat = np.full(MEASURED_WEIGHTS.shape[0], 0.5)
        curves = np.array([a.measured or flat for a in appearances])
        _fill(fractions, allowed, apart & by_band, _Inks(absorption_ratio(curves), strength, MEASURED_WEIGHTS))
    return fractions


@dataclass(frozen=True)
class _Inks:
    """K/S (n, bands), strengths (n,) and the colour weights of one band set."""

    ratio: Array
    strength: Array
    weights: Array


def _fill(fractions: Array, allowed: Array, pairs: np.ndarray, inks: _Inks) -> None:
    """Write x* of the chosen ordered pairs into `fractions`."""
    old, new = np.nonzero(pairs)
    limit = allowed[old, new]
    old_ratio, new_ratio = inks.ratio[old], inks.ratio[new]
    old_strength, new_strength = inks.strength[old, None], inks.strength[new, None]
    clean = lab_of(reflectance_of(new_ratio), inks.weights)

    def within(fraction: Array) -> np.ndarray:
        ratio = mixed_ratio(fraction[:, None], old_ratio, new_ratio, old_strength, new_strength)
        return ciede2000(clean, lab_of(reflectance_of(ratio), inks.weights)) <= limit

    # Scan upwards for the first step that shows, then halve inside it on a logarithmic scale. The lower end
    # is returned, so a wider tolerance can never give a smaller fraction.
    low = np.full(old.size, SMALLEST_FRACTION)
    high = np.ones(old.size)
    open_ = np.ones(old.size, dtype=bool)
    for step in _SCAN:
        passes = within(np.full(old.size, step))
        low = np.where(open_ & passes, step, low)
        high = np.where(open_ & ~passes, step, high)
        open_ &= passes
    for _ in range(_HALVINGS):
        middle = np.sqrt(low * high)
        passes = within(middle)
        low, high = np.where(passes, middle, low), np.where(passes, high, middle)
    fractions[old, new] = np.where(open_, 1.0, low)


def _speck_factors(appearances: Sequence[Appearance]) -> Array:
    """Return the factor (n, n) on the tolerance for flakes of an old finish in a new one."""
    speck = np.array([EFFECTS[a.finish].speck for a in appearances])
    finish = np.array([a.finish for a in appearances])
    factors: Array = np.where(finish[:, None] == finish[None, :], 1.0, speck[:, None])
    return factors

"""Single-constant Kubelka-Munk mixing of an old colour into a new one, per band.

References
----------
Kubelka and Munk, Zeitschrift fuer technische Physik 12, 1931; Duncan, Journal of the Oil and Colour
Chemists' Association 32, 1949 (mixtures): K/S of a mixture is the mean of its parts' K/S, each weighted by
its share times its strength.
"""

import numpy as np

from planner.purge.difference import Array


def absorption_ratio(reflectance: Array) -> Array:
    """Return K/S = (1 - R)^2 / 2R for reflectance R, 0 < R <= 1."""
    ratio: Array = (1 - reflectance) ** 2 / (2 * reflectance)
    return ratio


def reflectance_of(ratio: Array) -> Array:
    """Return R = 1 + K/S - sqrt((K/S)^2 + 2 K/S), written so that a large K/S loses no digits."""
    reflectance: Array = 1 / (1 + ratio + np.sqrt(ratio * (ratio + 2)))
    return reflectance


def mixed_ratio(fraction_old: Array, old: Array, new: Array, strength_old: Array, strength_new: Array) -> Array:
    """Return K/S of new melt that still holds `fraction_old` (0 to 1, by mass) of the old one.

    All arrays broadcast together; the last axis is the band.
    """
    weight_old = fraction_old * strength_old
    weight_new = (1 - fraction_old) * strength_new
    ratio: Array = (weight_old * old + weight_new * new) / (weight_old + weight_new)
    return ratio

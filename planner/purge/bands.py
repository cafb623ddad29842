"""Band sets in which reflectance is held, and the weights that turn each into colour under D65.

Two sets: three bands of linear light (the sRGB primaries) for colours known by three numbers, and 31
measured bands of 10 nm. Daylight D65 and the CIE 1931 two-degree observer throughout.

References
----------
CIE 15:2018 (observer, D65), IEC 61966-2-1 (sRGB). Tables are those of the coloraide library.
"""

import numpy as np
from coloraide.cmfs import CIE_1931_2DEG
from coloraide.illuminants import D65
from coloraide.spaces.srgb_linear import RGB_TO_XYZ

from planner.purge.difference import Array

WAVELENGTHS_NM: Array = np.arange(400.0, 701.0, 10.0)
"""Centres of the 31 measured bands, nm."""


def _measured_weights() -> Array:
    power = np.array([D65[nm] for nm in WAVELENGTHS_NM])
    observer = np.array([CIE_1931_2DEG[nm] for nm in WAVELENGTHS_NM])
    weights = power[:, None] * observer
    normed: Array = weights / weights.sum(axis=0)
    return normed


_RGB_TO_XYZ: Array = np.array(RGB_TO_XYZ, dtype=np.float64)

# A row per band, columns X/Xn, Y/Yn, Z/Zn; each column adds to 1, so a flat reflectance is a neutral grey.
RGB_WEIGHTS: Array = (_RGB_TO_XYZ / _RGB_TO_XYZ.sum(axis=1, keepdims=True)).T
MEASURED_WEIGHTS: Array = _measured_weights()


def measured_to_rgb(reflectance: Array) -> Array:
    """Reduce 31 measured bands to the three linear-light bands of the same colour; may leave 0 to 1."""
    tristimulus: Array = reflectance @ MEASURED_WEIGHTS
    rgb: Array = np.asarray(np.linalg.solve(RGB_WEIGHTS.T, tristimulus), dtype=np.float64)
    return rgb

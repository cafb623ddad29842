"""CIELAB and the CIEDE2000 colour difference on whole arrays.

A colour library does single colours; a palette asks for a hundred thousand differences, so the formula is
written out here for arrays and tested against two libraries and the published pairs.

References
----------
Sharma, Wu, Dalal, "The CIEDE2000 color-difference formula", Color Research & Application 30(1), 2005.
CIE 15:2018 for CIELAB.
"""

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_LINEAR_BELOW = (6 / 29) ** 3
_C25_7 = 25.0**7


def lab_of(reflectance: Array, weights: Array) -> Array:
    """Return CIELAB (..., 3) of reflectance per band (..., bands); weights (bands, 3) from `bands`."""
    tristimulus = reflectance @ weights
    f = np.where(tristimulus > _LINEAR_BELOW, np.cbrt(tristimulus), tristimulus * ((29 / 6) ** 2 / 3) + 4 / 29)
    x, y, z = f[..., 0], f[..., 1], f[..., 2]
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


def ciede2000(lab1: Array, lab2: Array) -> Array:
    """Return CIEDE2000 (...) between CIELAB arrays (..., 3); parametric factors all 1."""
    l1, a1, b1 = lab1[..., 0], lab1[..., 1], lab1[..., 2]
    l2, a2, b2 = lab2[..., 0], lab2[..., 1], lab2[..., 2]
    chroma7 = ((np.hypot(a1, b1) + np.hypot(a2, b2)) / 2) ** 7
    stretch = 1.5 - 0.5 * np.sqrt(chroma7 / (chroma7 + _C25_7))
    a1, a2 = a1 * stretch, a2 * stretch
    c1, c2 = np.hypot(a1, b1), np.hypot(a2, b2)
    h1 = np.remainder(np.degrees(np.arctan2(b1, a1)), 360)
    h2 = np.remainder(np.degrees(np.arctan2(b2, a2)), 360)

    # The shorter way round, in degrees as the authors do: exactly opposite hues must fall on their side.
    grey = c1 * c2 == 0
    apart, total = h2 - h1, h1 + h2
    near = np.abs(apart) <= 180
    turn = np.where(grey, 0.0, np.where(near, apart, apart - np.copysign(360.0, apart)))
    degrees = np.where(grey, total, np.where(near, total / 2, np.where(total < 360, total + 360, total - 360) / 2))
    d_hue = 2 * np.sqrt(c1 * c2) * np.sin(np.radians(turn) / 2)
    hue = np.radians(degrees)

    lightness, chroma = (l1 + l2) / 2, (c1 + c2) / 2
    off = (lightness - 50) ** 2
    s_l = 1 + 0.015 * off / np.sqrt(20 + off)
    s_c = 1 + 0.045 * chroma
    t = (
        1
        - 0.17 * np.cos(hue - np.radians(30))
        + 0.24 * np.cos(2 * hue)
        + 0.32 * np.cos(3 * hue + np.radians(6))
        - 0.20 * np.cos(4 * hue - np.radians(63))
    )
    s_h = 1 + 0.015 * chroma * t
    bend = np.radians(60) * np.exp(-(((degrees - 275) / 25) ** 2))
    chroma7 = chroma**7
    rotation = -2 * np.sqrt(chroma7 / (chroma7 + _C25_7)) * np.sin(bend)

    light, satur, tint = (l2 - l1) / s_l, (c2 - c1) / s_c, d_hue / s_h
    squared = light**2 + satur**2 + tint**2 + rotation * satur * tint
    difference: Array = np.sqrt(np.maximum(squared, 0.0))
    return difference

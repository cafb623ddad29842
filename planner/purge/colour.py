"""A colour as the maker gives it (hex, CIELAB or a measured curve), turned into reflectance per band."""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from coloraide import Color
from numpy.typing import ArrayLike

from planner.purge.bands import MEASURED_WEIGHTS, WAVELENGTHS_NM, measured_to_rgb
from planner.purge.difference import Array, lab_of
from planner.purge.finish import FINISHES, Finish

# What an opaque moulded face reflects at its darkest and lightest, surface gloss included (common practice,
# no source). A hex colour is a wish on a screen, whose black and white no plastic reaches: it is squeezed
# into this reach, so that two near blacks stay two colours.
DARKEST = 0.04
LIGHTEST = 0.90

# Measured colours are taken as they are, kept off 0 and 1 where Kubelka-Munk has no finite answer.
MEASURED_FLOOR = 0.005
MEASURED_CEILING = 0.99

_HEX = re.compile(r"#(?:[0-9a-fA-F]{3}|[0-9a-fA-F]{6})")


@dataclass(frozen=True)
class Appearance:
    """How a coloured melt looks once moulded.

    rgb: reflectance 0 to 1 in the three linear-light bands.
    measured: reflectance 0 to 1 in the 31 bands of `bands.WAVELENGTHS_NM`, or None.
    lab: CIELAB under D65 of the colour as given, before any squeezing.
    finish: see `finish`.
    strength: weight of a kilogram of this melt in a mixture, against a usual solid colour (1); a heavily
        loaded white is above 1, a weakly loaded tint below.
    """

    rgb: tuple[float, float, float]
    lab: tuple[float, float, float]
    measured: tuple[float, ...] | None = None
    finish: Finish = "solid"
    strength: float = 1.0

    def __post_init__(self) -> None:
        if self.finish not in FINISHES:
            raise ValueError(f"finish {self.finish!r} is unknown; use one of {', '.join(FINISHES)}")
        if not (math.isfinite(self.strength) and 0.01 <= self.strength <= 100):
            raise ValueError(f"strength {self.strength} must be from 0.01 to 100; leave it out if unknown")

    @property
    def hex(self) -> str:
        """The colour for a screen, #rrggbb, fitted into what a screen can show."""
        return str(Color("lab-d65", list(self.lab)).convert("srgb").fit().to_string(hex=True))


def from_hex(text: str, finish: Finish = "solid", strength: float = 1.0) -> Appearance:
    """Read "#rgb" or "#rrggbb". Raises ValueError for anything else."""
    if not _HEX.fullmatch(text):
        raise ValueError(f"hex {text!r} is not a colour; write it like #1f6f4a")
    screen = Color(text)
    light = np.array(screen.convert("srgb-linear").coords())
    return Appearance(
        _triple(DARKEST + (LIGHTEST - DARKEST) * light),
        _triple(np.array(screen.convert("lab-d65").coords())),
        finish=finish,
        strength=strength,
    )


def from_lab(lab: Sequence[float], finish: Finish = "solid", strength: float = 1.0) -> Appearance:
    """Read CIELAB (L* 0-100, a*, b*) measured under D65. Raises ValueError when it cannot be a colour."""
    values = [float(v) for v in lab]
    if len(values) != 3 or not all(map(math.isfinite, values)):
        raise ValueError(f"lab {list(lab)} must be three numbers: L*, a*, b*")
    if not 0 <= values[0] <= 100 or max(abs(values[1]), abs(values[2])) > 150:
        raise ValueError(f"lab {values} is no surface colour; L* is 0 to 100, a* and b* within 150")
    light = np.array(Color("lab-d65", values).convert("srgb-linear").coords())
    return Appearance(_triple(_kept_off_the_ends(light)), _triple(np.array(values)), None, finish, strength)


def from_reflectance(
    wavelengths_nm: ArrayLike,
    reflectance: ArrayLike,
    finish: Finish = "solid",
    strength: float = 1.0,
) -> Appearance:
    """Read a reflectance curve, fractions 0 to 1 at rising wavelengths (nm) that span 400 to 700.

    Raises ValueError naming what is wrong (per cent for fractions, gaps, order, span).
    """
    at, values = np.asarray(wavelengths_nm, float), np.asarray(reflectance, float)
    if at.ndim != 1 or at.shape != values.shape or at.size < 7:
        raise ValueError(
            f"reflectance has {values.size} values for {at.size} wavelengths; give one each, at least seven"
        )
    if not (np.isfinite(at).all() and np.isfinite(values).all()) or (np.diff(at) <= 0).any():
        raise ValueError("reflectance needs finite values at wavelengths that rise")
    if at[0] > 400 or at[-1] < 700:
        raise ValueError(f"reflectance spans {at[0]:g} to {at[-1]:g} nm; it must span 400 to 700 nm")
    if (values < 0).any() or (values > 1).any():
        raise ValueError("reflectance must be fractions from 0 to 1; divide per cent by 100")
    return _from_bands(np.interp(WAVELENGTHS_NM, at, values), finish, strength)


def grey(reflectance: float, finish: Finish = "solid", strength: float = 1.0) -> Appearance:
    """Return a neutral grey that reflects the same fraction (0 to 1) at every wavelength."""
    if not 0 <= reflectance <= 1:
        raise ValueError(f"reflectance {reflectance} must be from 0 to 1")
    return _from_bands(np.full(WAVELENGTHS_NM.size, reflectance), finish, strength)


def _from_bands(bands: Array, finish: Finish, strength: float) -> Appearance:
    kept = _kept_off_the_ends(bands)
    return Appearance(
        _triple(_kept_off_the_ends(measured_to_rgb(kept))),
        _triple(lab_of(kept, MEASURED_WEIGHTS)),
        tuple(float(v) for v in kept),
        finish,
        strength,
    )


def _kept_off_the_ends(reflectance: Array) -> Array:
    return np.clip(reflectance, MEASURED_FLOOR, MEASURED_CEILING)


def _triple(values: Array) -> tuple[float, float, float]:
    first, second, third = (float(v) for v in values)
    return first, second, third

"""A product's colours as pictures show them: the colour itself, a pattern of its own, ink that can be read on it.

The pattern is for whoever cannot tell two colours apart, and for grey paper; the colour's name always stands by it.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from coloraide import Color

from planner.campaign.materials import Look
from planner.purge.bands import WAVELENGTHS_NM
from planner.purge.colour import from_lab, from_reflectance

UNKNOWN = "#c9c5ba"
"""Stands for a colour of which the campaign gives no appearance."""

# Strokes of a tile of ten by ten; "" is the plain one.
_STROKES = (
    "M-2,2 L2,-2 M0,10 L10,0 M8,12 L12,8",
    "M3,3h.01 M8,8h.01",
    "M0,3 H10 M0,8 H10",
    "M-2,8 L2,12 M0,0 L10,10 M8,-2 L12,2",
    "M3,0 V10 M8,0 V10",
    "M5,2 V8 M2,5 H8",
    "M0,0 L10,10 M10,0 L0,10",
    "M0,3 Q2.5,-1 5,3 T10,3 M0,8 Q2.5,4 5,8 T10,8",
    "M5,5 m-3,0 a3,3 0 1,0 6,0 a3,3 0 1,0 -6,0",
    "M1,3 H6 M5,8 H10",
    "M0,7 L5,2 L10,7",
    "M0,5 H10 M5,0 V10",
)


@dataclass(frozen=True)
class Swatch:
    """id: what a picture calls its pattern. name: the colour's. fill: sRGB. strokes: its pattern's path.

    ink: black or white, whichever reads better on it. tile: size of the pattern's tile in user units.
    """

    id: str
    name: str
    fill: str
    ink: str
    strokes: str
    tile: float


def swatches(colours: Mapping[str, Look]) -> dict[str, Swatch]:
    """Every colour of a campaign, in its order; the same campaign always gives the same patterns."""
    found = {}
    for place, (name, colour) in enumerate(colours.items()):
        fill = _hex_of(colour).lower()
        around, which = divmod(place, len(_STROKES))
        found[name] = Swatch(f"c{place}", name, fill, ink_on(fill), _STROKES[which], 7.0 * (1 + 0.6 * around))
    return found


def ink_on(fill: str) -> str:
    """Black or white: never less than 4.5 to 1 (WCAG 2.2, 1.4.3), as one of the two always is."""
    light = luminance(fill)
    return "#000000" if (light + 0.05) / 0.05 >= 1.05 / (light + 0.05) else "#ffffff"


def luminance(fill: str) -> float:
    """Relative luminance of an sRGB colour, 0 to 1 (WCAG 2.2)."""
    return float(Color(fill).luminance())


def _hex_of(colour: Look) -> str:
    if colour.hex is not None:
        return colour.hex
    if colour.lab is not None:
        return from_lab(colour.lab).hex
    return from_reflectance(WAVELENGTHS_NM, colour.reflectance).hex if colour.reflectance is not None else UNKNOWN


def colour_of(melt: str) -> str:
    """The colour's name in `resin/colour`."""
    return melt.rpartition("/")[2]

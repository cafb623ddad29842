"""A product's colours in pictures: ink that can be read on each, and a pattern of its own for each."""

from itertools import product

import pytest

from api.pictures.colours import UNKNOWN, colour_of, ink_on, luminance, swatches
from planner.campaign.materials import Colour

HEXES = [f"#{r:02x}{g:02x}{b:02x}" for r, g, b in product((0, 51, 102, 117, 118, 119, 153, 204, 255), repeat=3)]


def relative_luminance(fill: str) -> float:
    """WCAG 2.2, "relative luminance": https://www.w3.org/TR/WCAG22/#dfn-relative-luminance"""
    channels = [int(fill[n : n + 2], 16) / 255 for n in (1, 3, 5)]
    r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(one: str, other: str) -> float:
    """WCAG 2.2, "contrast ratio"."""
    dark, light = sorted((relative_luminance(one), relative_luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def test_ink_is_whichever_of_black_and_white_reads_better():
    """Which is never less than 4.5 to 1 (WCAG 2.2, 1.4.3)."""
    for fill in HEXES:
        ink = ink_on(fill)
        black, white = contrast(fill, "#000000"), contrast(fill, "#ffffff")
        assert ink == ("#000000" if black >= white else "#ffffff"), fill
        assert contrast(fill, ink) >= 4.5
        assert luminance(fill) == pytest.approx(relative_luminance(fill), abs=2e-3)


def test_no_two_of_many_colours_look_alike_in_grey():
    """After a dozen the patterns come again in another size; the same campaign always has the same ones."""
    colours = {f"c{n}": Colour(price_per_kg=1, hex="#808080") for n in range(30)}
    found = swatches(colours)
    assert list(found) == list(colours)
    assert len({(one.strokes, one.tile) for one in found.values()}) == 30
    assert len({one.id for one in found.values()}) == 30
    assert {one.tile for one in list(found.values())[:12]} == {7.0}
    assert found == swatches(colours)


def test_a_colour_is_shown_as_it_is_given():
    """By its sRGB, by its CIELAB values (white, black: by definition), or as one that nobody described."""
    colours = {
        "a": Colour(price_per_kg=1, hex="#AABBCC"), "b": Colour(price_per_kg=1, lab=(100, 0, 0)),
        "c": Colour(price_per_kg=1, lab=(0, 0, 0)), "d": Colour(price_per_kg=1),
    }  # fmt: skip
    assert [one.fill for one in swatches(colours).values()] == ["#aabbcc", "#ffffff", "#000000", UNKNOWN]
    assert colour_of("pp/sand/light") == "light"

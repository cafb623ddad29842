"""Colours in: hex, CIELAB, measured reflectance, and what is refused."""

import numpy as np
import pytest
from coloraide.cmfs import CIE_1931_2DEG
from coloraide.illuminants import D65

from planner.purge.bands import MEASURED_WEIGHTS, WAVELENGTHS_NM
from planner.purge.colour import DARKEST, LIGHTEST, from_hex, from_lab, from_reflectance, grey
from planner.purge.difference import ciede2000


def test_screen_black_and_white_are_squeezed_into_what_plastic_reaches() -> None:
    assert from_hex("#000").rgb == pytest.approx((DARKEST,) * 3)
    assert from_hex("#ffffff").rgb == pytest.approx((LIGHTEST,) * 3)


def test_two_near_blacks_stay_two_colours() -> None:
    assert from_hex("#050505").rgb != from_hex("#000000").rgb


@pytest.mark.parametrize("text", ["#1f6f4a", "#C8643C", "#fff", "#102030"])
def test_hex_comes_back(text: str) -> None:
    full = text if len(text) == 7 else "#" + "".join(2 * c for c in text[1:])
    assert from_hex(text).hex == full.lower()


def test_measured_lab_is_kept_as_it_is() -> None:
    seen = from_lab([62.0, 20.0, 30.0])
    assert seen.lab == (62.0, 20.0, 30.0)
    assert all(0 < band < 1 for band in seen.rgb)


def test_lab_outside_the_screen_is_still_mixable() -> None:
    """A strong orange pigment lies outside sRGB; its blue band would be negative."""
    assert min(from_lab([65.0, 60.0, 95.0]).rgb) > 0


def test_white_point_of_the_measured_bands_is_d65() -> None:
    """The tables give D65's chromaticity (0.3127, 0.3290), CIE 15, to what 10 nm from 400 to 700 nm allow."""
    power = np.array([D65[nm] for nm in WAVELENGTHS_NM])
    xyz = power @ np.array([CIE_1931_2DEG[nm] for nm in WAVELENGTHS_NM])
    np.testing.assert_allclose(xyz[:2] / xyz.sum(), [0.3127, 0.3290], atol=4e-4)
    np.testing.assert_allclose(MEASURED_WEIGHTS.sum(axis=0), 1)


def test_curve_and_its_three_bands_show_the_same_colour() -> None:
    """A smooth orange curve reduced to three bands keeps its CIELAB."""
    nm = np.arange(380, 731, 5)
    curve = 0.05 + 0.6 / (1 + np.exp(-(nm - 570) / 18))
    orange = from_reflectance(nm, curve)
    from_three = from_lab(orange.lab)
    assert orange.measured is not None
    assert float(ciede2000(np.array(orange.lab), np.array(from_three.lab))) == 0
    np.testing.assert_allclose(orange.rgb, from_three.rgb, atol=2e-3)


def test_grey_reflects_the_same_everywhere() -> None:
    half = grey(0.5)
    assert half.rgb == pytest.approx((0.5,) * 3)
    assert half.measured is not None
    assert set(half.measured) == {0.5}


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: from_hex("green"), "write it like #1f6f4a"),
        (lambda: from_hex("#12345"), "is not a colour"),
        (lambda: from_lab([50, 0]), "three numbers"),
        (lambda: from_lab([120, 0, 0]), "0 to 100"),
        (lambda: from_lab([50, float("nan"), 0]), "three numbers"),
        (lambda: from_reflectance([400, 700], [0.5, 0.5]), "at least seven"),
        (lambda: from_reflectance(range(400, 701, 50), [50.0] * 7), "divide per cent by 100"),
        (lambda: from_reflectance(range(420, 721, 50), [0.5] * 7), "must span 400 to 700"),
        (lambda: from_reflectance([400, 450, 450, 500, 550, 600, 700], [0.5] * 7), "rise"),
        (lambda: grey(1.2), "from 0 to 1"),
        (lambda: from_hex("#fff", finish="glitter"), "finish 'glitter' is unknown"),
        (lambda: from_hex("#fff", strength=0.0), "strength"),
    ],
)
def test_what_is_no_colour_is_refused_with_the_remedy(make: object, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        make()  # type: ignore[operator]

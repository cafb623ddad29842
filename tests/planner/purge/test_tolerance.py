"""The largest fraction of an old colour that cannot be seen, against a second way and by its properties."""

import math

import numpy as np
import pytest
from coloraide import Color
from hypothesis import given, settings
from hypothesis import strategies as st
from pyciede2000 import ciede2000 as second_library

from planner.purge.bands import MEASURED_WEIGHTS, WAVELENGTHS_NM
from planner.purge.colour import Appearance, from_hex, from_reflectance, grey
from planner.purge.difference import ciede2000
from planner.purge.finish import EFFECTS, finish_cautions
from planner.purge.tolerance import HIDDEN_PART, VISIBLE_FACE, clean_fractions
from planner.purge.washout import STIRRED
from tests.support.sampled import examples

hexes = st.integers(0, 0xFFFFFF).map(lambda v: from_hex(f"#{v:06x}"))
greys = st.floats(0.02, 0.95).map(grey)


def test_black_to_white_7_59_and_white_to_black_2_25_stirred_volumes() -> None:
    """R .9 and .04 to CIEDE2000 1.0 (computed values)."""
    volumes = STIRRED.hold_ups(clean_fractions([grey(0.9), grey(0.04)]))
    assert volumes[1, 0] == pytest.approx(7.59, abs=5e-3)
    assert volumes[0, 1] == pytest.approx(2.25, abs=5e-3)


def test_screen_black_and_white_give_the_same_volumes() -> None:
    volumes = STIRRED.hold_ups(clean_fractions([from_hex("#ffffff"), from_hex("#000000")]))
    assert volumes[1, 0] == pytest.approx(7.59, abs=5e-3)
    assert volumes[0, 1] == pytest.approx(2.25, abs=5e-3)


def scalar_difference(old: Appearance, new: Appearance, fraction: float) -> float:
    """The same sum one number at a time, with two libraries for colour and no array."""

    def lab(bands: list[float]) -> tuple[float, ...]:
        return tuple(Color("srgb-linear", bands).convert("lab-d65").coords())

    def ratio(r: float) -> float:
        return (1 - r) ** 2 / (2 * r)

    mixed = [fraction * ratio(o) + (1 - fraction) * ratio(n) for o, n in zip(old.rgb, new.rgb, strict=True)]
    bands = [1 + k - math.sqrt(k * k + 2 * k) for k in mixed]
    return float(second_library(lab(list(new.rgb)), lab(bands))["delta_E_00"])


@pytest.mark.parametrize("seed", range(12))
def test_just_inside_passes_and_just_outside_shows(seed: int) -> None:
    """At x* the scalar sum gives the tolerance itself; all below passes."""
    old, new = (from_hex(f"#{v:06x}") for v in np.random.default_rng(seed).integers(0, 1 << 24, 2))
    fraction = float(clean_fractions([old, new])[0, 1])
    assert scalar_difference(old, new, fraction) == pytest.approx(VISIBLE_FACE, abs=1e-4)
    for share in (0.9, 0.5, 0.1, 0.01):
        assert scalar_difference(old, new, fraction * share) < VISIBLE_FACE


@given(st.lists(hexes, min_size=2, max_size=5), st.floats(0.1, 6), st.floats(0.1, 6))
@settings(max_examples=examples(60), deadline=None)
def test_more_tolerance_never_needs_a_smaller_fraction(colours: list[Appearance], one: float, other: float) -> None:
    tight, wide = sorted((one, other))
    assert (clean_fractions(colours, wide) >= clean_fractions(colours, tight)).all()


@given(greys, greys, st.floats(0.2, 5))
@settings(max_examples=examples(150), deadline=None)
def test_dark_to_light_never_asks_less_than_light_to_dark_for_greys(
    one: Appearance, other: Appearance, tolerance: float
) -> None:
    light, dark = sorted((one, other), key=lambda a: -a.lab[0])
    fractions = clean_fractions([light, dark], tolerance)
    assert fractions[1, 0] <= fractions[0, 1] * (1 + 1e-5)


@given(st.lists(hexes, min_size=1, max_size=4))
@settings(max_examples=30, deadline=None)
def test_the_same_colour_is_always_clean(colours: list[Appearance]) -> None:
    both = clean_fractions(colours + colours)
    n = len(colours)
    assert (np.diagonal(both) == 1).all()
    assert (np.diagonal(both, offset=n) == 1).all()


def test_each_new_melt_may_have_its_own_tolerance() -> None:
    colours = [from_hex("#ffffff"), from_hex("#000000")]
    own = clean_fractions(colours, [VISIBLE_FACE, HIDDEN_PART])
    assert own[1, 0] == clean_fractions(colours, VISIBLE_FACE)[1, 0]
    assert own[0, 1] == clean_fractions(colours, HIDDEN_PART)[0, 1]


@pytest.mark.parametrize("bad", [0.0, -1.0, float("nan"), float("inf")])
def test_a_tolerance_of_nothing_is_refused(bad: float) -> None:
    with pytest.raises(ValueError, match="tolerance must be above 0"):
        clean_fractions([grey(0.5), grey(0.6)], bad)


def test_measured_curves_are_mixed_band_by_band() -> None:
    """Two colours alike on three bands differ in what a narrow absorption does to a white."""
    nm = np.arange(400, 701, 10)
    narrow = np.where(abs(nm - 550) < 15, 0.05, 0.8)
    measured = from_reflectance(nm, narrow)
    three_only = Appearance(measured.rgb, measured.lab)
    white = from_reflectance(nm, np.full(nm.size, 0.9))
    by_band = clean_fractions([measured, white])[0, 1]
    by_three = clean_fractions([three_only, white])[0, 1]
    assert by_band < by_three * 0.8


def test_a_colour_that_only_matches_again_when_unwashed_is_not_clean_half_way() -> None:
    """Two curves that show one colour under D65 (metamers): each passes for the other, their mixtures do not.

    Washing goes through the mixtures, so the clean fraction is small although the old colour itself passes.
    """
    bump = np.sign(np.sin((WAVELENGTHS_NM - 400) / 12))
    basis, _ = np.linalg.qr(MEASURED_WEIGHTS)
    unseen = bump - basis @ (basis.T @ bump)
    unseen *= 0.42 / abs(unseen).max()
    pair = [from_reflectance(WAVELENGTHS_NM, 0.5 + unseen), from_reflectance(WAVELENGTHS_NM, 0.5 - unseen)]
    assert float(ciede2000(np.array(pair[0].lab), np.array(pair[1].lab))) < 1e-9
    assert clean_fractions(pair)[0, 1] < 0.01


def test_measured_greys_agree_in_both_band_sets() -> None:
    """A flat curve is the same sum in 31 bands and in three."""
    pair = [grey(0.85), grey(0.07)]
    three = [Appearance(g.rgb, g.lab) for g in pair]
    np.testing.assert_allclose(clean_fractions(pair), clean_fractions(three), rtol=1e-6)


def test_flakes_left_over_halve_the_tolerance_of_another_finish() -> None:
    silver, white = from_hex("#a8a9ad", "metallic"), from_hex("#ffffff")
    plain = from_hex("#a8a9ad")
    assert clean_fractions([silver, white])[0, 1] == clean_fractions([plain, white], 0.5)[0, 1]
    assert clean_fractions([silver, from_hex("#ffffff", "metallic")])[0, 1] == (clean_fractions([plain, white])[0, 1])


@pytest.mark.parametrize("finish", ["translucent", "natural"])
def test_a_weakly_scattering_melt_shows_a_smaller_trace(finish: str) -> None:
    black, solid = from_hex("#000000"), from_hex("#eeeeee")
    weak = from_hex("#eeeeee", finish)  # type: ignore[arg-type]
    assert clean_fractions([black, weak])[0, 1] < clean_fractions([black, solid])[0, 1]


def test_every_caution_of_a_finish_is_marked_as_common_practice() -> None:
    white = (97.0, 0.0, 1.0)
    for finish in EFFECTS:
        for text in finish_cautions(finish, white, elastomer=True):
            assert text.endswith("(common practice, no source)")
    assert any("yellows" in t for t in finish_cautions("solid", white, elastomer=True))
    assert finish_cautions("solid", white) == []
    assert any("flow" in t for t in finish_cautions("metallic", (60.0, 0.0, 0.0)))

"""Kubelka-Munk: R .9 and .04 as white and black; values computed from the formula, checked by hand."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.purge.bands import RGB_WEIGHTS
from planner.purge.difference import ciede2000, lab_of
from planner.purge.mixing import absorption_ratio, mixed_ratio, reflectance_of

ONE = np.array(1.0)
WHITE, BLACK = np.full(3, 0.9), np.full(3, 0.04)


def mixed(fraction: float, old: np.ndarray, new: np.ndarray) -> np.ndarray:
    ratio = mixed_ratio(np.array(fraction), absorption_ratio(old), absorption_ratio(new), ONE, ONE)
    return reflectance_of(ratio)


def test_one_per_cent_black_in_white() -> None:
    """R .6148, L* 96.00 to 82.63, CIEDE2000 8.43 (computed)."""
    dirty = mixed(0.01, BLACK, WHITE)
    lab_clean, lab_dirty = lab_of(WHITE, RGB_WEIGHTS), lab_of(dirty, RGB_WEIGHTS)
    assert dirty == pytest.approx(0.6148, abs=5e-5)
    assert lab_clean[0] == pytest.approx(96.00, abs=5e-3)
    assert lab_dirty[0] == pytest.approx(82.63, abs=5e-3)
    assert float(ciede2000(lab_clean, lab_dirty)) == pytest.approx(8.43, abs=5e-3)


def test_one_per_cent_white_in_black() -> None:
    """CIEDE2000 .088 (computed)."""
    dirty = mixed(0.01, WHITE, BLACK)
    change = ciede2000(lab_of(BLACK, RGB_WEIGHTS), lab_of(dirty, RGB_WEIGHTS))
    assert float(change) == pytest.approx(0.088, abs=5e-4)


@given(st.floats(1e-6, 1.0))
def test_reflectance_survives_the_round_trip(reflectance: float) -> None:
    back = reflectance_of(absorption_ratio(np.array(reflectance)))
    assert float(back) == pytest.approx(reflectance, rel=1e-7)


def test_formula_as_printed_gives_the_same_reflectance() -> None:
    ratio = np.geomspace(1e-4, 100, 50)
    np.testing.assert_allclose(reflectance_of(ratio), 1 + ratio - np.sqrt(ratio**2 + 2 * ratio), rtol=1e-9)


@given(st.floats(0, 1), st.floats(0.01, 0.99), st.floats(0.01, 0.99))
def test_a_mixture_lies_between_its_parts(fraction: float, old: float, new: float) -> None:
    result = float(mixed(fraction, np.full(1, old), np.full(1, new))[0])
    assert min(old, new) - 1e-12 <= result <= max(old, new) + 1e-12


def test_a_stronger_old_colour_weighs_more() -> None:
    old, new = absorption_ratio(BLACK), absorption_ratio(WHITE)
    strong = mixed_ratio(np.array(0.01), old, new, np.array(2.0), ONE)
    as_much_more = mixed_ratio(np.array(0.02 / 1.01), old, new, ONE, ONE)
    np.testing.assert_allclose(strong, as_much_more)

"""CIELAB and CIEDE2000 on arrays, against the published pairs and two libraries."""

import csv
from pathlib import Path

import numpy as np
import pytest
from coloraide import Color
from pyciede2000 import ciede2000 as second_library

from planner.purge.bands import MEASURED_WEIGHTS, RGB_WEIGHTS
from planner.purge.difference import ciede2000, lab_of

# Sharma, Wu, Dalal, Color Research & Application 30(1), 2005.
with (Path(__file__).parent / "data" / "ciede2000_sharma2005.csv").open() as file:
    SHARMA = [[float(v) for v in row.values()] for row in csv.DictReader(file)]


def test_all_34_published_pairs_to_four_decimals() -> None:
    pairs = np.array(SHARMA)
    assert len(pairs) == 34
    ours = ciede2000(pairs[:, 1:4], pairs[:, 4:7])
    np.testing.assert_allclose(ours, pairs[:, 7], atol=1e-4)
    np.testing.assert_allclose(ciede2000(pairs[:, 4:7], pairs[:, 1:4]), ours, atol=1e-9)


@pytest.mark.parametrize("pair", SHARMA, ids=lambda p: f"pair {p[0]:.0f}")
def test_published_pairs_agree_with_two_libraries(pair: list[float]) -> None:
    ours = float(ciede2000(np.array(pair[1:4]), np.array(pair[4:7])))
    by_coloraide = Color("lab-d65", pair[1:4]).delta_e(Color("lab-d65", pair[4:7]), method="2000")
    by_second = second_library(tuple(pair[1:4]), tuple(pair[4:7]))["delta_E_00"]
    assert ours == pytest.approx(by_coloraide, abs=1e-9)
    assert ours == pytest.approx(by_second, abs=1e-9)


def test_two_thousand_random_pairs_agree_with_coloraide() -> None:
    rng = np.random.default_rng(2005)
    lab = rng.uniform([0, -100, -100], [100, 100, 100], (2, 2000, 3))
    lab[1, :500] = lab[0, :500] + rng.normal(0, 1, (500, 3))
    ours = ciede2000(lab[0], lab[1])
    theirs = [
        Color("lab-d65", list(a)).delta_e(Color("lab-d65", list(b)), method="2000")
        for a, b in zip(lab[0], lab[1], strict=True)
    ]
    np.testing.assert_allclose(ours, theirs, atol=1e-8)


def test_lab_of_linear_light_agrees_with_coloraide() -> None:
    light = np.random.default_rng(1).uniform(0, 1, (300, 3))
    theirs = [Color("srgb-linear", list(v)).convert("lab-d65").coords() for v in light]
    np.testing.assert_allclose(lab_of(light, RGB_WEIGHTS), theirs, atol=1e-6)


@pytest.mark.parametrize("weights", [RGB_WEIGHTS, MEASURED_WEIGHTS], ids=["three bands", "measured bands"])
def test_flat_reflectance_is_a_neutral_grey(weights: np.ndarray) -> None:
    """CIELAB of a grey is 116 Y^(1/3) - 16 (CIE 15), whatever the bands."""
    flat = np.array([0.04, 0.18, 0.9])
    lab = lab_of(np.repeat(flat[:, None], len(weights), axis=1), weights)
    np.testing.assert_allclose(lab[:, 0], 116 * np.cbrt(flat) - 16, atol=1e-9)
    np.testing.assert_allclose(lab[:, 1:], 0, atol=1e-9)

"""Washout models against published formulas tabulated (Levenspiel; Yeh & Jaw 1998) and against scipy."""

import csv
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import gammaincc, gammainccinv

from planner.purge.washout import STIRRED, Washout, laminar_pipe

with (Path(__file__).parent / "data" / "washout_vectors.csv").open() as file:
    ROWS = list(csv.DictReader(file))
THETA = np.array([float(row["theta_volumes"]) for row in ROWS])

COLUMNS = {
    "CSTR_N1": STIRRED,
    "tanks_N2": Washout(tanks=2),
    "tanks_N3": Washout(tanks=3),
    "tanks_N5": Washout(tanks=5),
    "tanks_N10": Washout(tanks=10),
    "PFR0.38+CSTR": Washout(plug_share=0.38),
    "PFR0.65+CSTR": Washout(plug_share=0.65),
}


def column(name: str) -> np.ndarray:
    return np.array([float(row[name]) for row in ROWS])


def test_the_table_holds_no_column_we_do_not_check() -> None:
    assert {*COLUMNS, "laminar_pipe", "theta_volumes"} == set(ROWS[0])


@pytest.mark.parametrize("name", sorted(COLUMNS))
def test_each_flow_model_gives_its_column(name: str) -> None:
    np.testing.assert_allclose(COLUMNS[name].fraction_left(THETA), column(name), rtol=1e-5)


@pytest.mark.parametrize("name", sorted(COLUMNS))
def test_each_column_read_backwards_gives_the_hold_ups(name: str) -> None:
    """From the tabulated fraction (six digits) back to theta, where the plug has passed."""
    left = column(name)
    telling = left < 0.999
    back = COLUMNS[name].hold_ups(left[telling])
    np.testing.assert_allclose(back, THETA[telling], rtol=1e-4)


def test_laminar_pipe_gives_its_column() -> None:
    np.testing.assert_allclose(laminar_pipe(THETA), column("laminar_pipe"), rtol=1e-5)


@pytest.mark.parametrize("tanks", [1, 2, 3, 5, 10, 40])
def test_tanks_in_series_are_the_gamma_tail(tanks: int) -> None:
    """Against scipy's incomplete gamma function, both ways."""
    theta = np.linspace(0, 6, 60)
    left = np.geomspace(1e-12, 0.999, 60)
    model = Washout(tanks=tanks)
    np.testing.assert_allclose(model.fraction_left(theta), gammaincc(tanks, tanks * theta), rtol=1e-9)
    np.testing.assert_allclose(model.hold_ups(left), gammainccinv(tanks, left) / tanks, rtol=1e-9)


@given(st.integers(1, 12), st.floats(0, 0.9), st.floats(1e-9, 1.0))
def test_washing_down_and_back_meet(tanks: int, plug_share: float, fraction: float) -> None:
    model = Washout(tanks, plug_share)
    theta = float(model.hold_ups(fraction))
    assert theta >= 0
    if fraction < 1:
        assert float(model.fraction_left(theta)) == pytest.approx(fraction, rel=1e-6)
    else:
        assert theta == 0


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: Washout(tanks=0), "tanks 0"),
        (lambda: Washout(plug_share=1.0), "plug share"),
        (lambda: STIRRED.hold_ups(0.0), "above 0"),
        (lambda: STIRRED.hold_ups(1.5), "at most 1"),
        (lambda: STIRRED.fraction_left(-1.0), "below 0"),
    ],
)
def test_what_makes_no_sense_is_refused(call: object, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        call()  # type: ignore[operator]

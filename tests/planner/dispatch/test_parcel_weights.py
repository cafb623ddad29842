"""Parcel weights against examples that carriers publish, rounding and limits."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.dispatch.weights import Carrier, gross_kg, parcel_weight, refusals, volumetric_kg

COURIER = Carrier("courier", 5000)


@pytest.mark.parametrize(
    ("sides_cm", "divisor", "gross", "volumetric", "charged"),
    [
        ((25, 30, 15), 5000, 8.0, 2.25, 8.0),  # a parcel broker's help page: the 8 kg count
        ((50, 50, 50), 5000, 20.0, 25.0, 25.0),  # a shop's delivery page: charged by 25 kg
        ((60, 50, 40), 6000, 5.0, 20.0, 20.0),  # IATA's 6000 cm3 to the kilogram, computed
    ],
)
def test_published_examples(
    sides_cm: tuple[int, int, int], divisor: float, gross: float, volumetric: float, charged: float
) -> None:
    """Length x width x height in cm over the divisor; the larger of the two weights is charged."""
    sides = (sides_cm[0] * 10, sides_cm[1] * 10, sides_cm[2] * 10)
    weight = parcel_weight(gross, sides, Carrier("x", divisor))
    assert weight.volumetric == pytest.approx(volumetric)
    assert weight.chargeable == pytest.approx(charged)


@given(st.integers(1, 400), st.sampled_from([0.1, 0.25, 0.5, 1.0]))
def test_exact_steps_are_not_rounded_up(steps: int, step: float) -> None:
    """A weight that is a whole number of steps stays; a gram more costs one step."""
    carrier = Carrier("steps", None, step_kg=step)
    exact = steps * step
    assert parcel_weight(exact, (1, 1, 1), carrier).chargeable == pytest.approx(exact)
    assert parcel_weight(exact + 0.001, (1, 1, 1), carrier).chargeable == pytest.approx(exact + step)


def test_whole_centimetres() -> None:
    """A carrier that rounds sides up first: 401 x 300 x 201 mm counts as 41 x 30 x 21 cm."""
    assert volumetric_kg((401, 300, 201), Carrier("cm", 5000, whole_cm=True)) == 41 * 30 * 21 / 5000


def test_gross_is_everything() -> None:
    """Contents, carton, padding."""
    assert gross_kg([0.6, 0.6, 0.02], 0.25, 0.03) == pytest.approx(1.5)


def test_limits_are_named() -> None:
    """Weight, longest side, and length + girth (longest + twice the other two)."""
    carrier = Carrier("strict", 5000, max_kg=20, longest_mm=1000, girth_mm=2000)
    assert refusals(20, (1000, 250, 250), carrier) == ()
    reasons = refusals(21, (300, 1100, 300), carrier)
    assert ["kg" in reasons[0], "1100 mm" in reasons[1], "girth 2300 mm" in reasons[2]] == [True] * 3


def test_impossible_carriers() -> None:
    """A divisor of 0 and a negative step are refused with the carrier's name."""
    with pytest.raises(ValueError, match="carrier zero"):
        Carrier("zero", 0)
    with pytest.raises(ValueError, match="step"):
        Carrier("back", 5000, step_kg=-1)

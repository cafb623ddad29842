"""How long purging takes: a barrel into the open by its plasticising rate, never by the tool in the press."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.campaign.materials import Resin
from planner.campaign.melt_density import LIGHTEST, POLYSTYRENE, melt_density
from planner.campaign.presses import Barrel
from planner.purge.times import air_shots_kg_h, air_shots_seconds, rated_kg_h


def barrel(**more: float) -> Barrel:
    return Barrel.model_validate({"holdup_kg": 0.5, "shot_max_g": 100} | more)


def test_three_and_a_half_kilograms_are_minutes_and_not_hours() -> None:
    """3.46 kg of PP out of a 0.5 kg barrel: 63 kg/h by its size, half of it in air shots, 0.74 for 0.945: 8.4 minutes.

    In shots of the tool at its full cycle the same purge was counted as 2 h 51.
    """
    assert rated_kg_h(barrel()) == 63.0
    seconds = air_shots_seconds(3.46, air_shots_kg_h(barrel(), 0.5, 0.74))
    assert seconds == 505
    assert seconds == pytest.approx(3.46 / (0.5 * 63.0 * 0.74 / 0.945) * 3600, abs=1)


def test_the_data_sheet_goes_before_the_size_and_a_heavy_melt_goes_faster() -> None:
    sheet = barrel(plasticising_kg_h=80)
    assert air_shots_kg_h(sheet, 0.5, POLYSTYRENE) == 40
    assert air_shots_kg_h(sheet, 0.25, POLYSTYRENE) == 20
    assert air_shots_kg_h(sheet, 0.5, 1.16) > air_shots_kg_h(sheet, 0.5, 0.74)


@pytest.mark.parametrize(
    ("family", "density"),
    [("PP", 0.74), ("polypropylene", 0.74), ("HDPE", 0.73), ("POM", 1.16), ("PA12", 0.96), ("", LIGHTEST)],
)
def test_density_by_family(family: str, density: float) -> None:
    """Melt densities recalled from data sheets; what is not known is taken as the lightest, which takes longest."""
    assert melt_density("mine", Resin(family=family)) == density
    assert melt_density("mine", Resin(family=family, melt_density=0.8)) == 0.8


@given(st.integers(0, 10**6), st.fractions(min_value=Fraction(1, 10), max_value=500))
def test_seconds_are_whole_and_rounded_up(grams: int, kg_h: Fraction) -> None:
    seconds = air_shots_seconds(grams / 1000, kg_h)
    exactly = Fraction(grams, 1000) * 3600 / kg_h
    assert exactly <= seconds < exactly + 1

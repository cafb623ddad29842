"""Usual mould temperatures are the family's own, or of the one it belongs to; a resin nobody knows has none."""

import pytest

from planner.campaign.materials import Resin
from planner.campaign.mould_temperature import usual_mould_c


def resin(family: str | None = None) -> Resin:
    return Resin.model_validate({"price_per_kg": 1} | ({"family": family} if family else {}))


@pytest.mark.parametrize(
    ("family", "band"),
    [("PP", (21, 49)), ("PC", (66, 107)), ("POM", (82, 104)), ("PA6", (70, 104)), ("TPE", (16, 79))],
)
def test_a_family_has_its_band_and_says_who_says_so(family, band):
    """Lowest before highest, as the guide named beside each has them."""
    found = usual_mould_c("mine", resin(family))
    assert found is not None
    assert found[0] == band
    assert found[1]


def test_a_resin_nobody_knows_has_none():
    """Unknown is not taken for harmless: nothing is made up."""
    assert usual_mould_c("moon dust", resin()) is None

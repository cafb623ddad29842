"""A melt that nobody knows: it may be whichever of the campaign's resins is furthest away.

Heats: the middle of each family's processing range as tabled in `planner/campaign/families.py`, PP 232, HDPE 228 and PC
296 C; a barrel that heats 8 and cools 4 degrees a minute.
"""

import json

import pytest

from examples.situations import FOLDER
from planner.purge.unknown import heating_at_most, hold_ups
from planner.reading import read


@pytest.fixture(scope="module")
def campaign():
    data = json.loads((FOLDER / "moving-vote.json").read_text(encoding="utf-8"))
    for name, family in (("pc", "PC"), ("pe", "HDPE"), ("odd", "own blend")):
        data["resins"][name] = {"family": family, "stock_kg": 1}
    data["presses"]["big"] |= {"heats_c_per_minute": 8, "cools_c_per_minute": 4}
    data["purging"] = {"resin_changes": [{"from": "pp", "to": "pc", "holdups": 9}]}
    return read(data)


def test_the_furthest_set_point_counts(campaign):
    """From PC down to PP 64 degrees at 4 a minute, 16 minutes; from HDPE up to PC 68 at 8, eight and a half."""
    assert heating_at_most(campaign, "big", ["pp", "pc", "pe"], "pp") == 960
    assert heating_at_most(campaign, "big", ["pp", "pe"], "pc") == 510


def test_nothing_is_heated_where_no_heat_is_known(campaign):
    assert heating_at_most(campaign, "big", [], "pp") == 0
    assert heating_at_most(campaign, "big", ["odd", "pp"], "pp") == 0


def test_the_most_hold_ups_that_any_change_to_a_resin_was_given_clear_it(campaign):
    assert hold_ups(campaign, "pc") == 9
    assert hold_ups(campaign, "pp") < 9

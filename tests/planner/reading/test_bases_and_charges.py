"""Bases and price lists that make no sense: refused with field and remedy."""

from typing import Any

import pytest

from examples.situations import campaign_of
from planner.errors import CampaignProblems
from planner.reading import read


def refused(name: str, *path: str, value: Any) -> list[str]:
    """Pointers of the problems once a field of a situation says something else."""
    data = campaign_of(name).model_dump(mode="json", by_alias=True, exclude_unset=True)
    place = data
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = value
    with pytest.raises(CampaignProblems) as found:
        read(data)
    assert all(problem.remedy for problem in found.value.problems)
    return [problem.pointer for problem in found.value.problems]


def test_an_insert_without_a_base():
    assert refused("base-with-inserts", "tools", "pot", "base", value=None) == ["/tools/pot/insert_minutes"]


def test_a_base_in_two_presses():
    data = campaign_of("base-with-inserts").model_dump(mode="json", by_alias=True, exclude_unset=True)
    data["presses"]["big"]["tool"] = "pot"
    data["presses"]["small"]["tool"] = "foot"
    with pytest.raises(CampaignProblems) as found:
        read(data)
    assert [problem.pointer for problem in found.value.problems] == ["/presses/small/tool"]


def test_a_price_for_a_part_that_there_is_not():
    pointers = refused("price-list", "presses", "big", "charges", "a_piece", value={"bowl": 1})
    assert pointers == ["/presses/big/charges/a_piece/bowl"]


def test_power_without_a_price():
    assert refused("price-list", "floor", value={}) == ["/presses/big/draws_kw", "/presses/small/draws_kw"]

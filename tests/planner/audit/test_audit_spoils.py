"""Mutation check: every way to spoil a good plan is caught by the right rule."""

from collections import Counter

import pytest

from tests.support.assertions import assert_plan_holds, broken_rules
from tests.support.pot_campaign import pot_campaign
from tests.support.pot_plan import pot_plan
from tests.support.spoils import WAYS, Way, spoil


def test_there_are_ways_enough_for_every_rule() -> None:
    """Distinct ways, several for each rule."""
    assert len({way.name for way in WAYS}) == len(WAYS) >= 100
    assert all(Counter(way.rule for way in WAYS)[f"A{n}"] >= 3 for n in range(1, 13))


@pytest.mark.parametrize("way", WAYS, ids=lambda way: f"{way.rule}-{way.name}")
def test_a_spoilt_plan_is_caught(way: Way) -> None:
    """On the plan worked by hand, where every way finds a place; untouched it holds."""
    campaign, plan = pot_campaign(), pot_plan()
    assert_plan_holds(campaign, plan)
    assert way.rule in broken_rules(*spoil(way, campaign, plan))

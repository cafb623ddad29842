"""Looking at ways in which tools stand at places (F11) is paid for only where tools name several places."""

import pytest

from api.demo import SITUATIONS
from examples.situations import campaign_of
from planner.control import Unhurried
from planner.demand import standing
from planner.planning import placed

WITH_A_CHOICE = {"copies-at-two-places": 3, "tool-to-either-place": 2}
"""Situation -> in how many ways its tools may stand; counted by hand: both copies here, there or apart; here or there.
All others' tools name one place."""


@pytest.mark.parametrize("name", sorted(path.stem for path in SITUATIONS.glob("*.json")))
def test_a_campaign_without_a_choice_is_planned_as_it_is(name, monkeypatch):
    """No look, no copy of the campaign with its tools elsewhere; one look for each way where there is a choice."""
    campaign = campaign_of(name)
    looks, moved = [], []
    at_places = standing.at_places
    monkeypatch.setattr(placed, "shared_out", lambda campaign, control: campaign)
    monkeypatch.setattr(placed, "looked_at", lambda campaign, *_: looks.append(campaign))
    monkeypatch.setattr(standing, "at_places", lambda *way: (moved.append(way), at_places(*way))[1])
    found = placed.placed(campaign, Unhurried()).campaign
    assert len(looks) == WITH_A_CHOICE.get(name, 0)
    if name not in WITH_A_CHOICE:
        assert found is campaign
        assert moved == []

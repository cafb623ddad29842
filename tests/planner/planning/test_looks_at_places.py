"""Looking at ways in which tools stand at places (F11) is paid for only where tools name several places."""

from typing import NamedTuple

import pytest

from api.demo import SITUATIONS
from examples.situations import campaign_of
from planner.control import Unhurried
from planner.demand import standing
from planner.planning import placed, shares

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


class Late(Unhurried):
    """The budget was over before anything began."""

    def seconds_left(self) -> float:
        return 0.0


def by_time(name):
    """A situation whose budget is one of time, not of rounds."""
    campaign = campaign_of(name)
    return campaign.model_copy(update={"planning": campaign.planning.model_copy(update={"rounds": None})})


def test_where_no_time_is_left_one_way_is_looked_at(monkeypatch):
    looks = []
    monkeypatch.setattr(placed, "shared_out", lambda campaign, control: campaign)
    monkeypatch.setattr(placed, "looked_at", lambda campaign, *_: looks.append(1) or Look())
    placed.placed(by_time("copies-at-two-places"), Late())
    assert looks == [1]


def test_where_no_time_is_left_shots_are_shared_out_in_one_way(monkeypatch):
    looks = []
    monkeypatch.setattr(shares, "looked_at", lambda campaign, *_: looks.append(1) or Look())
    shares.shared_out(by_time("two-tools-for-one-part"), Late())
    assert looks == [1]
    shares.shared_out(by_time("two-tools-for-one-part"), Unhurried())
    assert len(looks) > 2


class Look(NamedTuple):
    """What a look comes to."""

    objective: float = 1.0
    bound: float = 0.0

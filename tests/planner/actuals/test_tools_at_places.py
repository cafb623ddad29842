"""Planned again from the floor's log, a tool that may go to several places is where it was last in a press (F11)."""

from datetime import datetime
from functools import cache

import pytest
from pydantic import TypeAdapter

from examples.situations import campaign_of, plan_of
from planner.actuals.entries import Actuals, AnyEntry
from planner.actuals.remaining_campaign import from_here
from planner.control import Unhurried
from planner.plan.made_by import where_made
from planner.planning.make import make_plan

NAME = "tool-to-either-place"


@cache
def planned():
    return campaign_of(NAME), plan_of(NAME)


def moulded(press):
    """Feet in cream, all of them."""
    said = {"what": "shots", "at": "2027-01-11T09:55", "press": press, "tool": "foot", "colours": ["cream"]}
    return [TypeAdapter(AnyEntry).validate_python(said | {"shots": 450, "done": True})]


@pytest.mark.parametrize(("press", "unfinished"), [("small", True), ("second", False)])
def test_a_tool_stays_where_it_was_last(press, unfinished):
    """450 shots of four: 1,800 feet that are to be brought here, or are here."""
    campaign, plan = planned()
    left = from_here(campaign, plan, Actuals(as_of=datetime(2027, 1, 11, 10), entries=moulded(press))).campaign
    assert left.tools["foot"].presses == [press]
    (stock,) = left.parts["foot"].stock
    assert (stock.count, stock.finished) == (1800, not unfinished)
    again = make_plan(left, Unhurried())
    assert again.audit is not None
    assert again.audit.holds
    assert {run.press for run in again.runs if run.tool == "foot"} == {press}
    assert sum(lot.good for lot in again.finishing_lots) == (3000 if unfinished else 0)


def test_copies_stay_apart_and_what_theirs_made_is_still_to_come():
    """140 shots of four moulded there, 60 here: 560 feet are to be brought, 240 are here."""
    name = "copies-at-two-places"
    campaign, plan = campaign_of(name), plan_of(name)
    of = TypeAdapter(AnyEntry).validate_python
    said = {"what": "shots", "at": "2027-01-11T09:55", "colours": ["cream"]}
    log = [
        of(said | {"press": "small", "tool": "foot B", "shots": 140, "done": True}),
        of(said | {"press": "second", "tool": "foot A", "shots": 60}),
    ]
    left = from_here(campaign, plan, Actuals(as_of=datetime(2027, 1, 11, 10), entries=log)).campaign
    assert [(stock.count, stock.finished) for stock in left.parts["foot"].stock] == [(240, True), (560, False)]
    again = make_plan(left, Unhurried())
    assert again.audit is not None
    assert again.audit.holds
    first = again.finishing_lots[0]
    assert (first.good, f"{first.there:%a %d %H:%M}") == (560, "Thu 14 08:00")
    assert sum(run.shots for run in again.runs if run.tool != "pot") == 2250 - 200


def test_nothing_logged_it_is_where_the_plan_has_it():
    campaign, plan = planned()
    assert campaign.tools["foot"].presses == ["second", "small"]
    assert where_made(campaign, plan).tools["foot"].presses == ["small"]
    assert where_made(campaign, None) == campaign

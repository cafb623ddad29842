"""Days at the door in a promise: legs and local parcels drawn, each day from fewest to most as likely."""

from datetime import date, timedelta
from functools import cache
from itertools import product

import numpy as np
import pytest

from examples.situations import campaign_of
from planner.control import Unhurried
from planner.planning.make import make_plan
from planner.promise.doors import Ways
from planner.promise.make import make_promise
from planner.promise.supporters import Reasons
from planner.promise.update import Before, make_update
from planner.promise.update_text import html, markdown
from planner.reading import read
from planner.schedule.encode import compile_campaign

REPLICATIONS = 1000
SEA, CUSTOMS, LOCAL = range(24, 32), range(2, 7), range(2, 5)
WAYS = [sum(days) for days in product(SEA, CUSTOMS, LOCAL)]
"""Every way to the doors in the United States that the campaign speaks of, each as likely."""


@cache
def _planned(promised):
    campaign = _campaign(promised)
    plan = make_plan(campaign, Unhurried())
    return campaign, plan, make_promise(campaign, plan, REPLICATIONS)


def _campaign(promised):
    """Nothing is unsure but how long ships and parcels take."""
    data = campaign_of("house-abroad").model_dump(mode="json", by_alias=True, exclude_unset=True)
    data["planning"] = {"rounds": 2, "seed": 1}
    data["uncertainty"] = {"carrier_days": {"early": 0, "likely": 0, "late": 0}}
    for tier in data["tiers"].values():
        tier["promised_in"] = {**tier.get("promised_in", {}), "us": promised.isoformat()}
    return read(data)


def test_the_ways_drawn_are_those_that_legs_and_tariffs_allow():
    campaign = _campaign(date(2027, 3, 12))
    _, names = compile_campaign(campaign)
    abroad = [batch for batch in names.batches if batch.region == "us"]
    drawn = Ways(campaign, REPLICATIONS, 1).of(abroad)
    assert (drawn.min(), drawn.max()) == (min(WAYS), max(WAYS)) == (28, 41)
    assert drawn.mean() == pytest.approx(np.mean(WAYS), abs=0.2)
    assert drawn.std() == pytest.approx(np.std(WAYS), abs=0.2)
    assert (Ways(campaign, REPLICATIONS, 1).of(abroad) == drawn).all()


def test_the_chance_is_that_of_being_at_the_door():
    """On 26 January the ship sails; by 3 March are 36 days. Whoever counts with the most days, 41, calls it lost."""
    promised = date(2027, 3, 3)
    _, plan, promise = _planned(promised)
    sails = {one.at.date() for one in plan.dispatches if one.carrier != "post"}
    assert sails == {date(2027, 1, 26)}
    regions = [one for tier in promise.tiers for one in tier.regions if one.region == "us"]
    kept = np.mean([date(2027, 1, 26) + timedelta(days=way) <= promised for way in WAYS])
    assert 0.5 < kept < 1
    assert regions
    for one in regions:
        assert one.promised == promised
        assert one.chance == pytest.approx(kept, abs=0.04)
        assert one.dates.p95 == date(2027, 1, 26)
        ways = sorted(WAYS)
        by_hand = [date(2027, 1, 26) + timedelta(days=ways[int(share * len(ways))]) for share in (0.5, 0.8, 0.95)]
        drawn = (one.door.p50, one.door.p80, one.door.p95)
        assert all(abs((a - b).days) <= 1 for a, b in zip(drawn, by_hand, strict=True))
    update = make_update("Pots", promise, date(2027, 1, 11), Before(), Reasons())
    late = [one for one in update.broken if one.region == "us"]
    assert [one.promised for one in late] == [promised] * len(regions)
    assert all(one.promised_to == "door" and not one.sure for one in late)
    said = markdown(update)
    assert f"{late[0].tier} to us may be late: promised at the door by 3 March 2027" in said
    assert f"{late[0].tier} to us" in html(update)


def test_an_update_is_measured_against_what_the_last_one_told_a_region():
    _, _, promise = _planned(date(2027, 3, 3))
    first = make_update("Pots", promise, date(2027, 1, 11), Before(), Reasons())
    again = make_update("Pots", promise, date(2027, 1, 12), Before(last=first), Reasons())
    late = [one for one in again.broken if one.region == "us"]
    assert late
    assert not any(one.new for one in late)
    assert "is still late" in markdown(again)
    told = [one for tier in again.tiers for one in tier.regions if one.region == "us"]
    assert all(one.before == one.day for one in told)
    assert "as announced" in markdown(again)


def test_one_day_for_all_regions_is_said_of_the_tier():
    campaign = campaign_of("several-carriers")
    promise = make_promise(campaign, make_plan(campaign, Unhurried()), 100)
    update = make_update("Pots", promise, date(2027, 1, 11), Before(), Reasons())
    assert all(not tier.regions for tier in update.tiers)
    assert all(not one.region for one in update.broken)

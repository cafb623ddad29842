"""Bounds on average where tools may go to several places, or several make a part: none is above any plan, in any
scenario, by brute force."""

from collections.abc import Iterator

import numpy as np
import pytest

from planner.campaign import Campaign
from planner.campaign.uncertainty import ThreePoint
from planner.control import Unhurried
from planner.demand.items import sharings
from planner.demand.standing import at_places, ways
from planner.expected import search
from planner.expected.bound_over_ways import BASIS, _way, mean_bound_over_ways
from planner.planning.make import make_plan
from planner.planning.shares import _every_way, _saying
from planner.promise.replications import written
from planner.promise.scenarios import draw
from planner.schedule.encode import compile_campaign
from planner.schedule.expected.replicate import replicated
from tests.planner.expected.test_least_mean import every_order, unsure
from tests.planner.schedule.test_tools_at_places_twin import COPIES, PRICES, _copies, _tiny

SCENARIOS = 5

MOST_SHARES = 3
"""Ways to share the work gone through, spread over all."""


def with_scrap(campaign: Campaign) -> Campaign:
    """The common case, with a tenth of the parts spoilt at worst."""
    campaign = unsure(campaign, rounds=2)
    assert campaign.uncertainty is not None
    scrap = ThreePoint(early=0.0, likely=0.02, late=0.1)
    tools = {name: said.model_copy(update={"scrap_share": scrap}) for name, said in campaign.uncertainty.tools.items()}
    return campaign.model_copy(update={"uncertainty": campaign.uncertainty.model_copy(update={"tools": tools})})


def some_shares(campaign: Campaign) -> Iterator[Campaign]:
    """Tools standing where they are, in some of the ways to share their work, the first and the last among them."""
    found = sharings(campaign)
    every = _every_way(campaign, found) or []
    for n in np.unique(np.linspace(0, len(every) - 1, MOST_SHARES).round().astype(int)):
        yield _saying(campaign, found, every[n])


def cheapest(campaign: Campaign) -> np.ndarray:
    """In each scenario what the cheapest of all orders costs there."""
    inst, names = compile_campaign(campaign)
    scenarios = written(inst, names, draw(campaign, 200, 7)).some(0, SCENARIOS)
    return np.min([replicated(inst, one, scenarios, "first ready").cost for one in every_order(inst)], axis=0)


@pytest.mark.parametrize(
    "campaign",
    [_tiny(*PRICES[2]), _copies(*COPIES[2])],
    ids=["feet", "copies, some there"],
)
def test_no_plan_costs_less_than_its_way_is_bounded_by_in_any_scenario(campaign):
    campaign = with_scrap(campaign)
    _, names = compile_campaign(campaign)
    every, plans = [], 0
    for way in ways(campaign):
        stands = at_places(campaign, way)
        one = _way(stands, names, 7)
        bounds = np.array([one.bound_in(k) for k in range(SCENARIOS)])
        every.append(bounds)
        for share in some_shares(stands):
            least = cheapest(share)
            assert (least >= bounds - 1e-6).all(), (way, least, bounds)
            plans += 1
    assert plans >= 2
    told = mean_bound_over_ways(names, 7, lambda done: done < SCENARIOS)
    assert told.mean == pytest.approx(np.min(every, axis=0).mean())
    assert told.low < told.mean
    assert told.scenarios == SCENARIOS


def test_a_part_that_several_tools_make_has_a_bound_without_any_choice_of_places():
    campaign = with_scrap(_copies(*COPIES[0]))
    way = next(way for way in ways(campaign) if len(set(way.values())) > 1)
    stands = at_places(campaign, way)
    inst, names = compile_campaign(stands)
    assert inst.several == 1
    told = mean_bound_over_ways(names, 7, lambda done: done < SCENARIOS)
    least = np.min([cheapest(share) for share in some_shares(stands)], axis=0)
    assert 0.5 * least.mean() < told.mean <= least.mean()


def test_the_plan_says_it():
    plan = make_plan(with_scrap(_copies(*COPIES[0])), Unhurried())
    said = plan.outcome.expected
    assert plan.audit.holds
    assert said.bound_basis == BASIS
    assert 0.5 * said.mean < said.bound <= said.mean
    assert said.bound_low < said.bound
    assert said.bound_replications == search.BOUNDED


def test_too_few_scenarios_say_nothing():
    _, names = compile_campaign(with_scrap(_tiny(*PRICES[1])))
    assert mean_bound_over_ways(names, 7, lambda done: done < 3) is None


def test_a_bound_that_fails_costs_the_bound_not_the_plan(monkeypatch):
    def fails(*_):
        raise ZeroDivisionError

    monkeypatch.setattr(search, "mean_bound_over_ways", fails)
    monkeypatch.setattr("planner.spared.bearable", lambda _error: True)
    plan = make_plan(with_scrap(_tiny(*PRICES[1])), Unhurried())
    assert plan.outcome.expected.bound is None
    assert any("bound" in caution.text for caution in plan.cautions)

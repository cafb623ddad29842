"""The auditor and the planner against each other: plans made for random campaigns hold, and spoilt ones do not."""

from collections import Counter
from functools import lru_cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchmarks.generator import small
from planner.audit import audit
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.errors import AuditFailed, Infeasible
from planner.plan import RunPlan
from planner.planning import verdict
from planner.planning.make import make_plan
from tests.support.assertions import assert_plan_holds, broken_rules
from tests.support.nudges import leaves, nudged
from tests.support.pot_campaign import pot_campaign
from tests.support.sampled import examples
from tests.support.spoils import WAYS, NoPlace, Way, spoil


def planned(campaign: Campaign, rounds: int = 1) -> RunPlan:
    """A plan after a few rounds of search."""
    brief = campaign.planning.model_copy(update={"rounds": rounds})
    return make_plan(campaign.model_copy(update={"planning": brief}), Unhurried())


@pytest.fixture(scope="module")
def pot_plan_made() -> RunPlan:
    """What the planner makes of the pot workshop."""
    return planned(pot_campaign(), rounds=3)


@pytest.fixture(scope="module")
def small_plans() -> list[tuple[Campaign, RunPlan]]:
    """Plans of random small campaigns, with lots, nights, clock changes, pins, acetal and what else comes up."""
    found = []
    for seed in range(16):
        try:
            found.append((small(seed), planned(small(seed))))
        except Infeasible:
            continue
    return found


def test_the_planners_pot_plan_holds_and_costs_no_more(pot_plan_made: RunPlan) -> None:
    """The search is at least as good as the plan worked by hand, which orders every run otherwise."""
    assert_plan_holds(pot_campaign(), pot_plan_made)
    assert pot_plan_made.outcome.total <= 5064.36


def test_plans_of_random_campaigns_hold(small_plans: list[tuple[Campaign, RunPlan]]) -> None:
    """Every plan, looked at again from its JSON text."""
    assert len(small_plans) >= 12
    for campaign, plan in small_plans:
        again = RunPlan.model_validate_json(plan.model_dump_json(by_alias=True))
        assert_plan_holds(Campaign.model_validate_json(campaign.model_dump_json(by_alias=True)), again)


@given(st.data())
@settings(max_examples=examples(40), deadline=None)
def test_a_made_plan_cannot_be_nudged(data: st.DataObject) -> None:
    """Any value of a made plan, changed by the least that matters, breaks a rule."""
    campaign, plan = nudgeable()
    path = data.draw(st.sampled_from(leaves(plan)))
    assert broken_rules(campaign, nudged(plan, path)), path


@lru_cache
def nudgeable() -> tuple[Campaign, RunPlan]:
    """A random campaign with its plan, made once."""
    return small(3), planned(small(3))


def test_a_changeover_of_no_length_holds_nobody() -> None:
    """A tool mounted in no time, without start-up, beside another changeover by the same setter."""
    campaign = small(485)
    aim = campaign.planning.model_copy(update={"aim": "waste"})
    campaign = campaign.model_copy(update={"planning": aim})
    plan = planned(campaign)
    changeovers = [run.changeover for run in plan.runs if run.changeover]
    assert any(changeover.start == changeover.end for changeover in changeovers)
    assert_plan_holds(campaign, plan)


@pytest.mark.parametrize("way", WAYS, ids=lambda way: f"{way.rule}-{way.name}")
def test_a_spoilt_plan_of_the_planner_is_caught(
    way: Way, pot_plan_made: RunPlan, small_plans: list[tuple[Campaign, RunPlan]]
) -> None:
    """On the first made plan that offers a place for it, the pot workshop's first."""
    for campaign, plan in [(pot_campaign(), pot_plan_made), *small_plans]:
        try:
            spoilt = spoil(way, campaign, plan)
        except NoPlace:
            continue
        assert way.rule in broken_rules(*spoilt)
        return
    pytest.fail(f"no plan offers a place for {way.name}")


def test_every_way_is_tried_on_a_random_plan(small_plans: list[tuple[Campaign, RunPlan]]) -> None:
    """All ways on the first random plan: whatever finds a place is caught, in every rule."""
    caught: Counter[str] = Counter()
    for campaign, plan in small_plans[:1]:
        for way in WAYS:
            try:
                spoilt = spoil(way, campaign, plan)
            except NoPlace:
                continue
            assert way.rule in broken_rules(*spoilt), f"{way.name} on {campaign.name}"
            caught[way.rule] += 1
    assert set(caught) == {f"A{n}" for n in range(1, 14)}


def test_a_plan_that_breaks_a_rule_is_never_returned(monkeypatch: pytest.MonkeyPatch) -> None:
    """The planner raises, says whose fault it is and names the broken rules."""

    def stricter(campaign: Campaign, plan: RunPlan):  # type: ignore[no-untyped-def]
        return audit(campaign, plan.model_copy(update={"purge_kg": plan.purge_kg + 1}))

    monkeypatch.setattr(verdict, "audit", stricter)
    with pytest.raises(AuditFailed) as refused:
        planned(pot_campaign())
    assert {problem.pointer for problem in refused.value.broken} == {"", "A11"}

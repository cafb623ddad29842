"""Bounds of a search that was broken off go on with its plan, where they are of the same plans, and are audited."""

from dataclasses import replace

import pytest

from api.demo import EXAMPLES
from planner import read, spared
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.plan.document import RunPlan
from planner.planning.by_rule import plan_by_rule
from planner.planning.make import make_plan
from planner.planning.proven_before import proven_by, with_proven
from planner.schedule.bounds.undercut import BOUND, Undercut


def starter(aim: str = "cost") -> Campaign:
    return read(EXAMPLES["starter"].document | {"planning": {"rounds": 2, "aim": aim}})


@pytest.fixture(scope="module")
def made() -> tuple[RunPlan, RunPlan]:
    """A plan of a search, and one of a rule, whose bound is lower."""
    first = plan_by_rule(starter())
    assert first is not None
    return make_plan(starter(), Unhurried()), first


def test_the_higher_bound_goes_with_the_plan(made: tuple[RunPlan, RunPlan]) -> None:
    searched, first = made
    known = searched.outcome.lower_bound
    assert first.outcome.lower_bound < known
    plan = with_proven(starter(), first, proven_by(searched))
    assert (plan.outcome.lower_bound, plan.outcome.bound_basis) == (known, searched.outcome.bound_basis)
    assert plan.outcome.avoidable_gap < first.outcome.avoidable_gap
    assert (plan.outcome.total, plan.runs) == (first.outcome.total, first.runs)
    assert plan.audit is not None
    assert plan.audit.holds
    assert with_proven(starter(), searched, proven_by(first)) == searched  # a lower one changes nothing


@pytest.mark.parametrize("aim", ["soonest", "waste"])
def test_that_of_another_aim_too(aim: str) -> None:
    searched, first = make_plan(starter(aim), Unhurried()), plan_by_rule(starter(aim))
    assert first is not None
    assert first.outcome.aim_bound == 0.0
    plan = with_proven(starter(aim), first, proven_by(searched))
    assert plan.outcome.aim_bound == searched.outcome.aim_bound
    assert plan.outcome.aim_bound > 0.0
    assert plan.audit is not None
    assert plan.audit.holds


def test_not_where_it_may_be_of_other_plans(made: tuple[RunPlan, RunPlan]) -> None:
    """Another version may look at more plans; with wishes it depends on which were refused."""
    searched, first = made
    before = proven_by(searched)
    assert with_proven(starter(), first, replace(before, by=before.by | {"planner": "0.0.9"})) == first
    wishes = read(EXAMPLES["wishes"].document)
    assert with_proven(wishes, first, before) == first


def test_one_that_the_plan_undercuts_is_let_go_and_said_to_be(
    made: tuple[RunPlan, RunPlan], monkeypatch: pytest.MonkeyPatch
) -> None:
    _, first = made
    wrong = replace(proven_by(first), bound=first.outcome.total + 1.0)
    with pytest.raises(Undercut):
        with_proven(starter(), first, wrong)
    monkeypatch.setattr(spared, "bearable", lambda error: True)
    plan = with_proven(starter(), first, wrong)
    assert plan.outcome == first.outcome
    assert [caution.about for caution in plan.cautions].count(BOUND) == 1

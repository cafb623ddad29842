"""Bounds of a search that was broken off go on with its plan, where they are of the same plans, and are audited."""

from dataclasses import replace

import pytest

from api.demo import EXAMPLES
from planner import read, spared
from planner.campaign import Campaign
from planner.control import Progress, Unhurried
from planner.plan.document import RunPlan
from planner.plan.order_of_work import order_of
from planner.planning.by_rule import plan_by_rule
from planner.planning.gone_through import told
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


class Looking(Unhurried):
    """Time enough, one core; notes what a search says of its phase."""

    def __init__(self) -> None:
        super().__init__()
        self.phases: list[str] = []

    def seconds_left(self) -> float | None:
        return 600.0

    def report(self, progress: Progress) -> None:
        self.phases.append(progress.phase)


def gone_on_from(plan: RunPlan) -> Campaign:
    return read(
        EXAMPLES["starter"].document
        | {"planning": {"seconds": 600, "begin_from": order_of(plan).model_dump(mode="json")}}
    )


def test_a_search_whose_plan_meets_what_was_proven_ends_at_once(made: tuple[RunPlan, RunPlan]) -> None:
    """It has ten minutes, and knows from the one before it that nothing is cheaper than the plan it begins from."""
    _, first = made
    before = replace(proven_by(first), bound=first.outcome.total, basis="another search", aim_bound=None)
    control = Looking()
    plan = make_plan(gone_on_from(first), control, before)
    assert (plan.outcome.status, plan.outcome.ended, plan.outcome.rounds) == ("optimal", "proven", 0)
    assert plan.outcome.total == pytest.approx(first.outcome.total, abs=0.005)
    assert plan.outcome.bound_basis == "another search"
    assert "proof" not in control.phases
    assert plan.audit is not None
    assert plan.audit.holds


def test_a_search_lets_what_was_proven_go_where_its_plan_undercuts_it(
    made: tuple[RunPlan, RunPlan], monkeypatch: pytest.MonkeyPatch
) -> None:
    """And proves nothing then; the caution stands once."""
    searched, _ = made
    monkeypatch.setattr(spared, "bearable", lambda error: True)
    wrong = replace(proven_by(searched), bound=searched.outcome.total + 1.0)
    campaign = starter()
    plan = with_proven(campaign, make_plan(campaign, Unhurried(), wrong), wrong)
    assert plan.outcome.status == "feasible"
    assert plan.outcome.lower_bound < wrong.bound
    assert [caution.about for caution in plan.cautions].count(BOUND) == 1


def test_what_a_bound_leaves_out_is_said_once() -> None:
    campaign = read(EXAMPLES["waves"].document)
    once = told("hours of presses", campaign)
    assert once != "hours of presses"
    assert told(once, campaign) == once

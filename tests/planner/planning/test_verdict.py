"""What the auditor's verdict does: a fault refuses the plan, a wrong explanation costs it the explanation only."""

from functools import lru_cache
from typing import Any

import pytest

from benchmarks.generator import small
from planner.audit import audit
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.errors import AuditFailed
from planner.plan.document import RunPlan
from planner.planning import verdict
from planner.planning.make import make_plan
from planner.planning.verdict import audited, left_out, unexplained
from tests.support.assertions import assert_plan_holds
from tests.support.nudges import nudged


@lru_cache
def made() -> tuple[Campaign, RunPlan]:
    campaign = small(15)
    planning = campaign.planning.model_copy(update={"rounds": 1})
    return campaign, make_plan(campaign.model_copy(update={"planning": planning}), Unhurried())


@pytest.fixture
def as_outside(monkeypatch: pytest.MonkeyPatch) -> None:
    """As the planner is outside the tests, which bear no wrong explanation (see `tests/conftest.py`)."""
    monkeypatch.setattr(verdict, "unexplained", unexplained)


def told(plan: RunPlan) -> dict[str, Any]:
    """All of a plan but its explanations, cautions and verdict."""
    data = plan.model_dump(exclude={"why", "cautions", "audit"})
    for run in data["runs"]:
        del run["waits_for"]
    return data


@pytest.mark.usefixtures("as_outside")
@pytest.mark.parametrize("path", [("why", "busy", 0, "busy_hours"), ("why", "chains", 0, "links", 0, "until")])
def test_a_plan_is_kept_without_a_wrong_word_of_what_binds_it(path: tuple[str | int, ...]) -> None:
    """And says so; what its runs waited for was right, and stays."""
    campaign, plan = made()
    kept = audited(campaign, nudged(plan, path))
    assert kept.why is None
    assert [run.waits_for for run in kept.runs] == [run.waits_for for run in plan.runs]
    assert told(kept) == told(plan)
    assert kept.audit is not None
    assert kept.audit.holds
    assert kept.cautions[:-1] == plan.cautions
    said = left_out(kept)
    assert said == kept.cautions[-1]
    wrong = {finding for rule in audit(campaign, nudged(plan, path)).rules for finding in rule.findings}
    assert any(finding in said.text for finding in wrong)


@pytest.mark.usefixtures("as_outside")
def test_a_plan_is_kept_without_a_wrong_word_of_what_a_run_waited_for() -> None:
    """Then nothing is said of any run's wait."""
    campaign, plan = made()
    runs = [plan.runs[0].model_copy(update={"waits_for": "a setter"}), *plan.runs[1:]]
    kept = audited(campaign, plan.model_copy(update={"runs": runs}))
    assert {run.waits_for for run in kept.runs} == {None}
    assert kept.why is None
    assert told(kept) == told(plan)
    assert left_out(kept) is not None


@pytest.mark.usefixtures("as_outside")
def test_a_fault_in_the_plan_refuses_it_whatever_it_says() -> None:
    """With right explanations, with wrong ones, with none: its own rule among those it breaks."""
    campaign, plan = made()
    spoilt = nudged(plan, ("costs", 0, "amount"))
    for one in (spoilt, nudged(spoilt, ("why", "busy", 0, "busy_hours")), spoilt.model_copy(update={"why": None})):
        with pytest.raises(AuditFailed) as failed:
            audited(campaign, one)
        assert "A12" in {problem.pointer for problem in failed.value.broken}


@pytest.mark.usefixtures("as_outside")
def test_a_plan_with_all_its_words_has_no_caution_about_them() -> None:
    """Nothing is left out of a plan that is right."""
    campaign, plan = made()
    assert audited(campaign, plan) == plan
    assert plan.why is not None
    assert left_out(plan) is None


def test_the_tests_refuse_a_wrong_explanation() -> None:
    """While they run, so that a campaign drawn at random fails for it; a plan that left one out does not hold."""
    campaign, plan = made()
    wrong = nudged(plan, ("why", "busy", 0, "busy_hours"))
    with pytest.raises(AuditFailed):
        audited(campaign, wrong)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(verdict, "unexplained", unexplained)
        kept = audited(campaign, wrong)
    with pytest.raises(AssertionError, match="found wrong"):
        assert_plan_holds(campaign, kept)


def test_a_wait_left_out_beside_a_list_of_waits_is_caught() -> None:
    """Silence about one run is not a way past the auditor while the plan says what runs waited for."""
    campaign, plan = made()
    assert plan.why is not None
    first = plan.why.waits[0].run
    runs = [run.model_copy(update={"waits_for": None}) if run.id == first else run for run in plan.runs]
    assert not audit(campaign, plan.model_copy(update={"runs": runs})).holds

"""A fault in one part costs that part: the plan stays, says what is left out, and never blames the maker."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest

from benchmarks.generator import small
from planner import spared
from planner.audit import audit
from planner.campaign import Campaign
from planner.campaign.planning import Aim
from planner.control import Unhurried
from planner.errors import AuditFailed, Infeasible, Problem
from planner.plan.document import RunPlan
from planner.planning import verdict, written
from planner.planning.make import make_plan
from planner.planning.verdict import SET_ASIDE, left_out
from planner.schedule import search
from planner.schedule.bounds import background
from planner.schedule.bounds.background import BackgroundBound
from planner.schedule.bounds.press_hours import LowerBound, beforehand
from planner.schedule.bounds.undercut import BOUND, Undercut
from planner.schedule.instance import Instance
from planner.spared import Fault, spare


class TwoSeconds(Unhurried):
    """As many looks at the clock as a search of some seconds takes."""

    def __init__(self) -> None:
        self.looks = 0

    def seconds_left(self) -> float | None:
        self.looks += 1
        return max(0.0, 2.0 - self.looks * 0.02)


@pytest.fixture
def as_outside(monkeypatch: pytest.MonkeyPatch) -> None:
    """As the planner is outside the tests, which bear no fault (see `tests/conftest.py`)."""
    monkeypatch.setattr(spared, "bearable", lambda error: True)
    monkeypatch.setattr(written, "retried", lambda: True)


def quick(aim: Aim = "cost", rounds: int = 1) -> Campaign:
    """A campaign that is proven after three rounds; what is not about the proof needs but one."""
    campaign = small(15)
    return campaign.model_copy(update={"planning": campaign.planning.model_copy(update={"rounds": rounds, "aim": aim})})


def broken(*_: Any, **__: Any) -> Any:
    raise IndexError("there is no such row")


def holds(campaign: Campaign, plan: RunPlan) -> bool:
    return audit(campaign, plan).holds


@pytest.mark.usefixtures("as_outside")
@pytest.mark.parametrize(
    ("module", "name"),
    [(search, "exhaust"), (search, "BackgroundBound"), (written, "why"), (written.purging, "notes")],
    ids=["proof", "bound", "explanation", "notes"],
)
def test_a_part_that_fails_is_left_out_and_said(monkeypatch: pytest.MonkeyPatch, module: Any, name: str) -> None:
    """The plan passes its audit, and names the part, the kind of error and the line."""
    monkeypatch.setattr(module, name, broken)
    campaign = quick(rounds=4 if name == "exhaust" else 1)
    plan = make_plan(campaign, Unhurried())
    assert holds(campaign, plan)
    said = left_out(plan)
    assert said is not None
    assert "IndexError" in said.text
    assert "our fault" in said.text
    assert plan.outcome.ended != "proven" or name != "exhaust"


@pytest.mark.usefixtures("as_outside")
def test_a_bound_that_fails_beside_the_search_is_told_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Its thread's error costs the bound, not the walk that goes on beside it."""
    monkeypatch.setattr(BackgroundBound, "_think", broken)
    campaign = small(15)
    plan = make_plan(campaign, TwoSeconds())
    assert holds(campaign, plan)
    assert [caution.about for caution in plan.cautions].count(BOUND) == 1


def too_high(inst: Instance) -> LowerBound:
    """A million above what holds."""
    known = beforehand(inst)
    return replace(known, total=known.total + 1e6)


@pytest.mark.usefixtures("as_outside")
@pytest.mark.parametrize("where", ["the first", "a later one"])
def test_a_bound_that_the_plan_undercuts_is_let_go(monkeypatch: pytest.MonkeyPatch, where: str) -> None:
    """It once was cut off at what the plan costs, and made a proof of it. Nothing is called proven beside it."""
    if where == "the first":
        monkeypatch.setattr(search, "beforehand", too_high)
    else:
        monkeypatch.setattr(background, "thought", lambda inst, *_: iter([(too_high(inst), None)]))
    campaign = quick()
    plan = make_plan(campaign, Unhurried())
    assert holds(campaign, plan)
    assert plan.outcome.status == "feasible"
    assert plan.outcome.lower_bound < plan.outcome.total
    said = [caution.text for caution in plan.cautions if caution.about == BOUND]
    assert len(said) == 1
    assert "no plan costs less than" in said[0]


@pytest.mark.usefixtures("as_outside")
@pytest.mark.parametrize("aim", ["soonest", "waste"])
def test_a_bound_of_another_aim_is_let_go_too(monkeypatch: pytest.MonkeyPatch, aim: Aim) -> None:
    def thinks(inst: Instance, known: LowerBound, *_: Any) -> Iterator[tuple[LowerBound, None]]:
        yield replace(known, waste_kg=1e6, last_s=10**9, waste_basis="", last_basis=""), None

    monkeypatch.setattr(background, "thought", thinks)
    campaign = quick(aim)
    plan = make_plan(campaign, Unhurried())
    assert holds(campaign, plan)
    assert plan.outcome.status == "feasible"
    assert plan.outcome.aim_bound is not None
    assert plan.outcome.aim_value is not None
    assert plan.outcome.aim_bound < plan.outcome.aim_value
    assert [caution.about for caution in plan.cautions].count(BOUND) == 1


def test_a_bound_too_high_is_found_by_every_test(monkeypatch: pytest.MonkeyPatch) -> None:
    """While tests run it is raised."""
    monkeypatch.setattr(background, "thought", lambda inst, *_: iter([(too_high(inst), None)]))
    with pytest.raises(Undercut):
        make_plan(quick(), Unhurried())


@pytest.mark.usefixtures("as_outside")
@pytest.mark.parametrize(("aim", "refusals"), [("cost", 2), ("soonest", 2), ("soonest", 3), ("waste", 3)])
def test_a_plan_that_does_not_pass_is_made_anew_from_its_parts(
    monkeypatch: pytest.MonkeyPatch, aim: Aim, refusals: int
) -> None:
    """The first ones are refused: the next that passes is given, without a bound, or as a rule makes it, and says that
    it is not the first."""

    def strict(campaign: Campaign, plan: RunPlan) -> RunPlan:
        nonlocal refusals
        refusals -= 1
        if refusals >= 0:
            raise AuditFailed([Problem("A5", "a mount is missing")])
        return verdict.audited(campaign, plan)

    monkeypatch.setattr(written, "audited", strict)
    plan = make_plan(quick(aim), Unhurried())
    assert holds(quick(aim), plan)
    said = [caution for caution in plan.cautions if caution.about == SET_ASIDE]
    assert len(said) == 1
    assert "a mount is missing" in said[0].text


@pytest.mark.usefixtures("as_outside")
def test_a_refusal_never_blames_the_maker(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where no part passes either, the first thing said is whose fault it is."""

    def strict(campaign: Campaign, plan: RunPlan) -> RunPlan:
        raise AuditFailed([Problem("A5", "a mount is missing")])

    monkeypatch.setattr(written, "audited", strict)
    with pytest.raises(AuditFailed) as failed:
        make_plan(quick(), Unhurried())
    assert "our fault, not the campaign's" in failed.value.broken[0].message
    assert failed.value.broken[1].pointer == "A5"


def test_the_tests_bear_no_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    """While they run, so that a campaign drawn at random fails for it."""
    monkeypatch.setattr(search, "exhaust", broken)
    with pytest.raises(IndexError):
        make_plan(quick(rounds=4), Unhurried())


def test_what_is_refused_with_reason_is_not_a_fault() -> None:
    def refuse() -> None:
        raise Infeasible([Problem("", "no press is open")])

    faults: list[Fault] = []
    with pytest.raises(Infeasible):
        spare("a part", refuse, None, faults)
    assert faults == []

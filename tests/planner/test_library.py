"""The planner as a library: four calls from data to dates, with an end that holds."""

import itertools
import subprocess
import sys
from pathlib import Path

import pytest

import planner
from planner import library
from planner.control import Progress
from planner.errors import CampaignProblems, Stopped
from tests.support.pot_campaign import CAMPAIGN


def pots(**planning):
    return planner.read(CAMPAIGN | {"planning": planning})


@pytest.fixture(scope="module")
def plan():
    return planner.solve(pots(rounds=200))


def test_from_data_to_a_plan_its_audit_and_its_dates(plan):
    """Each call takes what the one before gave; a plan that somebody changed does not pass."""
    campaign = pots(rounds=200)
    assert planner.audit_plan(campaign, plan).holds
    spoiled = plan.model_copy(update={"runs": plan.runs[1:]})
    assert not planner.audit_plan(campaign, spoiled).holds
    said = planner.simulate(campaign, plan, replications=50)
    assert [tier.tier for tier in said.tiers] == [tier.tier for tier in plan.tiers]
    assert said == planner.simulate(campaign, plan, replications=50, cores=2)


def test_the_same_rounds_and_seed_give_the_same_plan(plan):
    """However many cores there are, and without a clock."""
    again = planner.solve(pots(rounds=200), cores=1)
    assert again.model_dump() == plan.model_dump()


def test_planning_seconds_hold_by_the_callers_clock(monkeypatch):
    """The search is told what is left of them, by a clock that moves only when it is read; never less than none."""
    left = []

    def make(campaign, control):
        left.extend(control.seconds_left() for _ in range(7))
        raise Stopped("seen enough")

    monkeypatch.setattr(library, "make_plan", make)
    with pytest.raises(Stopped):
        planner.solve(pots(seconds=5), clock=itertools.count(100).__next__)
    assert left == [4, 3, 2, 1, 0, 0, 0]
    left.clear()
    with pytest.raises(Stopped):
        planner.solve(pots(seconds=5, rounds=9), clock=itertools.count(100).__next__)
    assert left == [None] * 7, "with rounds, rounds decide"


def test_a_search_ends_with_its_seconds():
    """Each look at this clock is a second: the search looks, and ends when they are used up or the plan is proven."""
    clock = itertools.count().__next__
    reports: list[Progress] = []
    plan = planner.solve(pots(seconds=30), clock=clock, report=reports.append, cores=1)
    assert plan.outcome.ended in ("budget used", "proven")
    assert clock() >= 30 or plan.outcome.ended == "proven"
    assert reports[0].phase == "reading"


def test_an_end_that_nothing_tells_is_refused():
    """Rather than searched without end; the remedy is said."""
    with pytest.raises(ValueError, match=r"clock=time\.monotonic"):
        planner.solve(pots(seconds=5))
    with pytest.raises(ValueError, match="1 or more"):
        planner.solve(pots(rounds=1), cores=0)


def test_a_stop_is_heard():
    """Before there is a plan: none. After it: the best so far, which passes its audit."""
    with pytest.raises(Stopped):
        planner.solve(pots(rounds=10), stop=lambda: True)
    seen: list[Progress] = []
    campaign = pots(rounds=100_000_000)
    plan = planner.solve(campaign, stop=lambda: any(one.cost is not None for one in seen), report=seen.append, cores=1)
    assert plan.outcome.ended in ("stopped", "proven")
    assert planner.audit_plan(campaign, plan).holds


def test_what_cannot_be_planned_names_its_fields():
    with pytest.raises(CampaignProblems) as refused:
        planner.read(CAMPAIGN | {"start": "soon"})
    assert "/start" in {problem.pointer for problem in refused.value.problems}


def test_the_library_waits_until_it_is_asked():
    """Importing a folder of the planner loads no solver: the pages' process reads campaigns and needs none."""
    seen = "import sys, planner.campaign; print('ortools' in sys.modules, planner.__version__)"
    done = subprocess.run(
        [sys.executable, "-c", seen], capture_output=True, text=True, cwd=Path(__file__).parents[2], check=True
    )
    assert done.stdout.split()[0] == "False"
    with pytest.raises(AttributeError, match="solved"):
        planner.solved  # noqa: B018

"""What was to be settled on a day has turned out, says the floor's log: the branch becomes the plan."""

import json

import pytest

from api.demo import SITUATIONS
from planner.actuals.checks import check
from planner.actuals.entries import Actuals
from planner.actuals.happened import happened
from planner.actuals.remaining_campaign import from_here
from planner.actuals.turned import _in_its_colours
from planner.control import Unhurried
from planner.plan.order_of_work import order_of
from planner.planning.make import make_plan
from planner.reading import read
from planner.settled import things
from tests.planner.expected.test_branches import trial
from tests.support.assertions import assert_plan_holds


@pytest.fixture(scope="module")
def made():
    campaign = trial({"a": 4, "b": 2, "c": 5}, {"a": 30, "b": 40, "c": 24}, 0.5, 8, "as planned")
    return campaign, make_plan(campaign, Unhurried())


def log(*outcomes: str, thing: str = "tool/a/trial", **more) -> Actuals:
    """Half of `b` is made by the first midnight; then it is known how the trial of `a` went."""
    half = {"what": "shots", "at": "2027-01-05T00:00", "press": "one", "tool": "b", "colours": ["grey"], "shots": 500}
    half |= {"good": {"b": 500}}
    told = [{"what": "turned-out", "at": "2027-01-05T00:00", "thing": thing, "outcome": one} for one in outcomes]
    return Actuals.model_validate({"as_of": "2027-01-05T00:00", "entries": [half, *told, *more.get("also", [])]})


@pytest.mark.parametrize(
    ("outcome", "order", "ready"), [("works", ["b", "a", "c"], None), ("does-not-work", ["b", "c", "a"], "2027-01-13")]
)
def test_the_branch_becomes_the_plan(made, outcome, order, ready):
    """Its order of work, the tool's likely day, and nothing left to settle; what the branch said is what is planned."""
    campaign, plan = made
    now = from_here(campaign, plan, log(outcome))
    assert things(now.campaign) == []
    at = now.campaign.tools["a"].ready
    assert (at.isoformat() if at else None) == ready
    assert [run.tool for run in now.campaign.planning.begin_from.presses["one"]] == order
    after = make_plan(now.campaign, Unhurried())
    assert [run.tool for run in after.runs] == order
    branch = next(one for one in plan.outcome.expected.branches.branches if one.id == outcome)
    assert [run.end for run in after.runs] == [run.end for run in branch.runs]
    assert {tier.tier: tier.last_dispatch.date() for tier in after.tiers} == {t.tier: t.leaves for t in branch.tiers}
    assert_plan_holds(now.campaign, after)


def test_the_last_word_counts(made):
    campaign, plan = made
    now = from_here(campaign, plan, log("works", "does-not-work"))
    assert [run.tool for run in now.campaign.planning.begin_from.presses["one"]] == ["b", "c", "a"]
    assert happened(campaign, log("does-not-work").entries[1:]) == ["the trial of the mould for a: it does not work"]


def test_what_nobody_wrote_down_stays_open_and_is_said(made):
    campaign, plan = made
    now = from_here(campaign, plan, log())
    assert any("nobody wrote it down" in note for note in now.notes)
    assert [thing.id for thing in things(now.campaign)] == ["tool/a/trial"]


def test_a_tool_that_is_here_and_good_needs_no_trial(made):
    campaign, plan = made
    here = log(also=[{"what": "tool", "at": "2027-01-04T20:00", "tool": "a"}])
    assert things(from_here(campaign, plan, here).campaign) == []


@pytest.mark.parametrize(
    ("actuals", "says"),
    [(log("works", thing="tool/b/trial"), "tool/a/trial"), (log("maybe"), "works, does-not-work")],
)
def test_what_cannot_be_is_refused_with_what_can(made, actuals, says):
    problems = check(made[0], actuals)
    assert len(problems) == 1
    assert says in problems[0].remedy


def test_a_tool_that_is_called_like_what_is_settled_has_no_colours_of_its_own(made):
    """Whether the trial of `a` works says nothing of which colour of `a` won."""
    campaign, plan = made
    unsure = read(json.loads((SITUATIONS / "moving-vote.json").read_text())).uncertainty
    [one] = unsure.settled.values()
    unsure = unsure.model_copy(update={"settled": {"a": one}})
    order = order_of(plan)
    assert _in_its_colours(order, campaign.model_copy(update={"uncertainty": unsure}), "tool/a/trial", "works") == order
    assert _in_its_colours(order, campaign.model_copy(update={"uncertainty": None}), "settled/a", "works") == order

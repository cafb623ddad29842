"""Runs on another press: which presses could take them, what it costs more than a plan looked at as long without."""

import pytest

from examples.situations import campaign_of
from planner.campaign.wishes import Wish, WishedRuns
from planner.control import Unhurried
from planner.errors import CampaignProblems
from planner.planning.make import make_plan
from planner.slips.document import Elsewhere
from planner.slips.elsewhere import on_press, presses_for, prices
from planner.studies import elsewhere
from planner.studies.parts import Said, Subject, Work

CREAM_FEET = WishedRuns(tool="foot", colours=["cream"])


@pytest.fixture(scope="module")
def made():
    """The example of wishes with the first two of them, so that feet may go elsewhere."""
    example = campaign_of("wishes")
    campaign = example.model_copy(update={"wishes": example.wishes[:2]})
    return campaign, make_plan(campaign, Unhurried())


def test_presses_are_those_that_fit_and_the_others_say_why(made):
    campaign, plan = made
    can, cannot = presses_for(campaign, plan, CREAM_FEET)
    here = {run.press for run in plan.runs if run.tool == "foot" and run.melts[0].endswith("/cream")}
    assert set(can) | set(cannot) | here == set(campaign.presses)
    weak = {"clamp_kn": campaign.tools["foot"].clamp_kn / 2}
    presses = {name: one.model_copy(update=weak if name in can else {}) for name, one in campaign.presses.items()}
    narrow = campaign.model_copy(update={"presses": presses})
    can_then, cannot_then = presses_for(narrow, plan, CREAM_FEET)
    assert can_then == []
    assert all("clamps" in " ".join(cannot_then[press]) for press in can)


def test_on_another_press_all_its_runs_are_there_and_the_price_is_that_of_the_wish(made):
    """The price against the same campaign planned with that wish in it, wherever that search ends: within a tenth."""
    campaign, plan = made
    [press] = presses_for(campaign, plan, CREAM_FEET)[0]
    control = Unhurried()
    as_it_is, there = (on_press(campaign, plan, CREAM_FEET, where, control) for where in (None, press))
    assert as_it_is.press is None
    assert as_it_is.cost <= plan.outcome.total + 0.01
    assert there.kept
    assert there.audited
    price = prices(plan, [as_it_is, there])[press]
    assert price == pytest.approx(there.cost - min(as_it_is.cost, plan.outcome.total))
    kept = [wish for line, wish in zip(plan.wishes, campaign.wishes, strict=True) if line.kept]
    wished = campaign.model_copy(update={"wishes": [*kept, Wish(runs=CREAM_FEET, press=press)]})
    again = make_plan(wished, control)
    assert all(line.kept for line in again.wishes)
    assert there.cost == pytest.approx(again.outcome.total, rel=0.1)


def test_what_another_wish_forbids_is_not_kept(made):
    """A wish for the press they are on stands before it; both cannot be had."""
    campaign, plan = made
    [press] = presses_for(campaign, plan, CREAM_FEET)[0]
    here = next(run.press for run in plan.runs if run.tool == "foot" and run.melts[0].endswith("/cream"))
    held = campaign.model_copy(update={"wishes": [Wish(runs=CREAM_FEET, press=here)]})
    stands = make_plan(held, Unhurried())
    there = on_press(held, stands, CREAM_FEET, press, Unhurried())
    assert not there.kept
    assert there.because
    assert there.cost is None


def test_as_a_study_it_falls_into_presses_and_ends_cheapest_first(made):
    campaign, plan = made
    subject = Subject(campaign.model_dump_json(by_alias=True), plan.model_dump_json(by_alias=True))
    question = {"tool": "foot", "colours": ["cream"]}
    split = elsewhere.split(subject, question)
    assert split.parts[0].ask == {"press": None}
    assert split.parts[-1].unlocks is None
    planned = ((None, True, 90.0), ("dear", True, 120.0), ("none", False, None), ("near", True, 95.0))
    said = [
        Said("press", Elsewhere(press=press, kept=kept, cost=cost, tiers=[]).model_dump(mode="json"))
        for press, kept, cost in planned
    ]
    ended = elsewhere.answer(Work("elsewhere", subject, question, {}, said), Unhurried())
    listed = [(one["press"], one["price"]) for one in ended.result["elsewhere"]]
    least = min(90.0, plan.outcome.total)
    assert listed == [("near", 95.0 - least), ("dear", 120.0 - least), ("none", None)]


def test_runs_that_are_not_there_cannot_be_asked_about(made):
    campaign, plan = made
    subject = Subject(campaign.model_dump_json(by_alias=True), plan.model_dump_json(by_alias=True))
    with pytest.raises(CampaignProblems, match="no run of `foot` in pink"):
        elsewhere.split(subject, {"tool": "foot", "colours": ["pink"]})

"""What knowing is worth, against a trial worked by hand, and what must be worth nothing."""

import numpy as np
import pytest

from benchmarks.generator import small
from planner.campaign.common_case import common_case
from planner.control import Unhurried
from planner.expected.knowing import Subject, _classes, certain_at, known, settled, sure_at, things
from planner.planning.make import make_plan
from planner.promise.scenarios import Factor, draw
from planner.reading import read
from planner.studies.knowing import ranked
from tests.planner.expected.jobs import jobs


@pytest.fixture(scope="module")
def trial():
    """One press, two jobs of 4 days that each cost money for every day after the start. The tool of `a` works at once
    in half of the cases, else it comes 8 days later; that of `b` comes on the second day. Nothing else is unsure."""
    data = jobs({"a": (4, 4, 4), "b": (4, 4, 4)}, {"a": 30.0, "b": 20.0}).model_dump(mode="json")
    rework = {"early": 8, "likely": 8, "late": 8}
    data["uncertainty"] = {
        "tools": {
            "a": {"first_trial": {"success_chance": 0.5, "rework_days": rework}},
            "b": {"cycle_share": {"early": 0.999, "likely": 1, "late": 1.001}},
        }
    }
    data["planning"] = {"rounds": 2, "when_late": "as planned"}
    campaign = read(data)
    return campaign, make_plan(campaign, Unhurried())


def test_a_trial_of_two_outcomes_worked_by_hand(trial):
    """Kept in its order, the press waits for `a` if that is first. Days until a is done and b is done, n failed trials
    of chance 1/2 each (8 days): a first: 4 + 8n and 8 + 8n. b first: b at 4, a at max(8, 4 + 8n): 8 where n <= 0, 12
    for n = 1, 20 for n = 2, that is 4 + 8n from n = 1 on. A day of a costs 30, of b 20. a first: 280 + 400n; b first:
    80 + 240 = 320 for n = 0, 80 + 120 + 240n = 200 + 240n from n = 1 on. Mean n is 1: a first 680; b first
    160 + 0.5 x (200 + 480) = 500. Knowing whether the first trial works: works: a first, 280 instead of 320, half of
    the time: worth 20. Fails: b first as before."""
    campaign, plan = trial
    assert [run.tool for run in plan.runs] == ["b", "a"]
    subject = Subject(campaign, plan)
    assert things(subject)[0] == "tool/a/trials"
    found = known(subject, "tool/a/trials")
    shares = dict(found.outcomes)
    assert shares["works at once"] == pytest.approx(0.5, abs=0.07)
    assert found.worth == pytest.approx(40 * shares["works at once"], abs=1.0)
    assert found.error == pytest.approx(
        40 * np.sqrt(shares["works at once"] * shares["must be reworked"] / 600), rel=0.05
    )
    # sure to work: b first costs 320, and so does each scenario in which it does
    assert plan.outcome.expected.mean - found.as_likely == pytest.approx(found.saves, abs=4 * found.saves_error)
    assert found.saves == pytest.approx(180, abs=4 * found.saves_error)


def test_what_changes_nothing_is_worth_nothing_and_has_no_rank(trial):
    subject = Subject(*trial)
    found = known(subject, "tool/b/cycle")
    assert abs(found.worth) <= 2 * found.error + 1e-6
    told = ranked([vars(found), vars(known(subject, "tool/a/trials"))])
    assert [(one["factor"], one["rank"]) for one in told["things"]] == [("tool/a/trials", 1), ("tool/b/cycle", None)]


def test_settled_leaves_one_thing_out_and_the_others_their_luck(trial):
    campaign, _ = trial
    before = draw(campaign, 40, 3)
    for name in [factor.name for factor in before.factors]:
        after = draw(settled(campaign, name), 40, 3)
        assert {one.name for one in before.factors} - {one.name for one in after.factors} == {name}
        for one in after.factors:
            assert (one.values == next(b.values for b in before.factors if b.name == one.name)).all()


def test_every_kind_of_thing_can_be_settled():
    campaign = small(3)
    campaign = campaign.model_copy(update={"uncertainty": common_case(campaign)})
    names = [factor.name for factor in draw(campaign, 2, 1).factors]
    assert len(names) > 10
    for name in names:
        left = [factor.name for factor in draw(settled(campaign, name), 2, 1).factors]
        assert left == [one for one in names if one != name]


def test_sure_at_a_stated_value_worked_by_hand(trial):
    """Of the trial above, b first: were the tool of `a` sure to come 2 days late (before b is done), the plan would
    cost 320; 8 days late, 440: whatever the scenario. Beside it what that saves against the mean now."""
    campaign, plan = trial
    subject = Subject(campaign, plan)
    fixed = plan.outcome.total - 320
    for days, cost in ((2, 320.0), (8, 440.0)):
        found = sure_at(subject, "tool/a/trials", days)
        assert found.mean - fixed == pytest.approx(cost, abs=0.5)  # b takes a thousandth more or less
        assert found.unit == "days"
        assert found.saves == pytest.approx(plan.outcome.expected.mean - found.mean, abs=4 * found.saves_error + 0.5)


def test_every_kind_of_thing_can_be_sure_at_a_value():
    campaign = small(3)
    campaign = campaign.model_copy(update={"uncertainty": common_case(campaign)})
    for factor in draw(campaign, 2, 1).factors:
        value = 0.5 if factor.unit == "share" else 3.0
        sure = draw(certain_at(campaign, factor.name, value), 40, 1)
        own = [one.values for one in sure.factors if one.name == factor.name]
        assert len(own) == 1
        assert own[0] == pytest.approx(np.full(40, value)), factor.name


@pytest.mark.parametrize(
    ("unit", "words"), [("days", ["early", "in between", "late"]), ("share", ["low", "in between", "high"])]
)
def test_what_may_turn_out_is_called_by_its_kind(unit, words):
    """A delivery is early or late, scrap is low or high."""
    assert _classes(Factor("piece/felt", "deliveries of felt", np.arange(90.0), unit))[1] == words

"""Wishes: what is refused and why, what a wish costs, and that they are kept when planning again."""

from dataclasses import replace
from typing import Any

import pytest

from examples.situations import campaign_of
from planner.campaign import Campaign
from planner.campaign.common_case import common_case
from planner.control import Unhurried
from planner.errors import CampaignProblems
from planner.plan.document import RunPlan
from planner.plan.order_of_work import order_of
from planner.planning import make as making
from planner.planning import wished as wishing
from planner.planning.make import make_plan
from planner.reading import read
from planner.schedule.encode import compile_campaign
from planner.schedule.search import search
from tests.support.assertions import assert_plan_holds


def wished(*wishes: dict[str, Any], rounds: int = 8, **changes: Any) -> Campaign:
    """The situation of the wishes with other ones."""
    data = campaign_of("wishes").model_dump(mode="json", by_alias=True, exclude_unset=True)
    data["wishes"] = list(wishes)
    data["planning"] = {"rounds": rounds, "seed": 1}
    return read(data | changes)


def planned(*wishes: dict[str, Any], **changes: Any) -> RunPlan:
    campaign = wished(*wishes, **changes)
    plan = make_plan(campaign, Unhurried())
    assert_plan_holds(campaign, plan)
    return plan


POT, FOOT = {"tool": "pot"}, {"tool": "foot"}
CREAM_POT = POT | {"colours": ["cream"]}


def test_a_wish_costs_what_the_plan_without_it_saves():
    """Pots take 40.00 an hour on the big press and 28.00 on the small one, where all would go: proven both ways."""
    free, tied = planned(), planned({"runs": POT, "press": "big"})
    assert (free.outcome.status, tied.outcome.status) == ("optimal", "optimal")
    assert {run.press for run in free.runs} == {"small"}
    assert tied.wishes[0].costs == pytest.approx(tied.outcome.total - free.outcome.total, abs=0.01)
    assert tied.wishes[0].costs > 10


def test_wishes_have_their_price_where_the_order_of_work_that_is_kept_is_the_best(monkeypatch):
    """The search is made to find a dearer plan than the order of work it begins from."""
    campaign = wished({"runs": POT, "press": "big"})
    before = make_plan(campaign, Unhurried())
    planning = campaign.planning.model_copy(update={"begin_from": order_of(before)})

    def dearer(*asked, **said):
        found = search(*asked, **said)
        return replace(found, objective=found.objective + 5)

    monkeypatch.setattr(making, "search", dearer)
    plan = make_plan(campaign.model_copy(update={"planning": planning}), Unhurried())
    assert plan.outcome.total == pytest.approx(before.outcome.total)
    assert plan.wishes[0].costs == pytest.approx(before.wishes[0].costs)
    assert plan.wishes[0].costs > 10


def test_the_later_of_two_that_contradict_each_other_is_refused():
    """Each by itself could be kept."""
    first, second = {"runs": CREAM_POT, "done_by": "2027-01-12"}, {"runs": CREAM_POT, "not_before": "2027-01-13"}
    for one, other in ((first, second), (second, first)):
        plan = planned(one, other)
        assert [line.kept for line in plan.wishes] == [True, False]
        assert plan.wishes[1].rule == "Y1"
        assert "beside the wishes" in plan.wishes[1].because


def test_a_circle_of_orders_is_refused_where_it_closes():
    plan = planned(
        {"runs": POT, "then": FOOT}, {"runs": FOOT, "then": CREAM_POT}, {"press": "big", "free_from": "2027-01-11"}
    )
    assert [line.kept for line in plan.wishes] == [True, False, True]


def test_what_is_moulded_over_cannot_be_wished_before_what_goes_into_it():
    """Nor done sooner than cores that are moulded from 6:47, and rest for two hours, allow."""
    data = campaign_of("overmoulding-in-lots").model_dump(mode="json", by_alias=True, exclude_unset=True)
    grip, core = {"tool": "grip"}, {"tool": "core"}
    data["wishes"] = [{"runs": grip, "then": core}, {"runs": grip, "done_by": "2027-01-11T17:40"}]
    plan = make_plan(read(data), Unhurried())
    assert [(line.kept, line.rule) for line in plan.wishes] == [(False, "O2"), (False, "O2")]
    assert plan.wishes[0].because.endswith("grip is moulded over what core makes")
    assert plan.wishes[1].because == plan.wishes[0].because
    assert len(plan.runs) == 3


def test_what_is_refused_leaves_no_trace():
    """The plan is the one made without the wish that cannot be kept."""
    with_it, without = planned({"runs": POT, "done_by": "2027-01-11T07:00"}), planned()
    assert not with_it.wishes[0].kept
    assert with_it.outcome.total == pytest.approx(without.outcome.total)


def test_a_tool_that_comes_later_is_the_rule_that_is_broken():
    campaign = wished({"runs": FOOT, "done_by": "2027-01-12"})
    data = campaign.model_dump(mode="json", by_alias=True, exclude_unset=True)
    data["tools"]["foot"]["ready"] = "2027-01-14"
    line = make_plan(read(data), Unhurried()).wishes[0]
    assert (line.kept, line.rule) == (False, "T3")


def test_a_press_kept_free_all_along_takes_nothing():
    """Both presses free: there is no plan, so the second wish is refused."""
    always = {"free_from": "2027-01-01", "free_until": "2029-12-31"}
    plan = planned({"press": "small"} | always, {"press": "big"} | always)
    assert [line.kept for line in plan.wishes] == [True, False]
    assert {run.press for run in plan.runs} == {"big"}


def test_nothing_to_do():
    plan = planned({"runs": {"tool": "pot", "colours": ["ink"]}, "press": "big"})
    assert (plan.wishes[0].kept, plan.wishes[0].nothing_to_do, plan.wishes[0].costs) == (True, True, None)


def test_planned_again_from_an_order_of_work_wishes_are_kept():
    first = planned()
    again = planned(
        {"runs": POT, "press": "big"}, {"press": "small", "first_colour": "sage"},
        planning={"rounds": 8, "seed": 1, "begin_from": order_of(first).model_dump(mode="json")},
    )  # fmt: skip
    assert [line.kept for line in again.wishes] == [True, True]
    assert {run.press for run in again.runs if run.tool == "pot"} == {"big"}


def test_on_average_where_the_campaign_is_unsure():
    campaign = wished({"runs": POT, "press": "big"}, rounds=1)
    campaign = campaign.model_copy(update={"uncertainty": common_case(campaign)})
    plan = make_plan(campaign, Unhurried())
    assert_plan_holds(campaign, plan)
    line = plan.wishes[0]
    assert line.costs is not None
    assert line.costs_on_average is not None
    assert line.costs_on_average > 0


@pytest.mark.parametrize(
    ("wish", "pointer", "said"),
    [
        ({"runs": {"tool": "pott"}, "press": "big"}, "/wishes/0/runs/tool", "no tool"),
        ({"runs": POT, "press": "huge"}, "/wishes/0/press", "no press"),
        ({"first_colour": "puce"}, "/wishes/0/first_colour", "no colour"),
        ({"runs": POT, "then": CREAM_POT}, "/wishes/0/then", "before itself"),
        ({"press": "big", "free_from": "2027-01-14", "free_until": "2027-01-12"}, "/wishes/0/free_until", "before it"),
        ({"runs": POT}, "/wishes/0", "no wish"),
        ({"runs": POT, "press": "big", "not_before": "2027-01-14"}, "/wishes/0", "one wish at a time"),
        ({"together": [POT]}, "/wishes/0", "one run"),
        ({"why": "because"}, "/wishes/0", "no wish"),
    ],
)
def test_what_makes_no_sense_is_refused_with_its_field(wish, pointer, said):
    with pytest.raises(CampaignProblems) as refused:
        wished(wish)
    (problem,) = [one for one in refused.value.problems if one.pointer == pointer]
    assert said in f"{problem.message}; {problem.remedy}"
    assert problem.remedy


def test_a_press_that_does_not_take_the_tool_and_two_presses_for_one_tool():
    campaign = campaign_of("price-list").model_dump(mode="json", by_alias=True, exclude_unset=True)
    campaign["wishes"] = [
        {"runs": POT, "press": "small"}, {"runs": FOOT, "press": "small"}, {"runs": FOOT, "press": "big"}
    ]  # fmt: skip
    with pytest.raises(CampaignProblems) as refused:
        read(campaign)
    assert [one.pointer for one in refused.value.problems] == ["/wishes/0/press", "/wishes/2/press"]
    assert "(A1)" in refused.value.problems[0].message


def test_the_work_is_shared_out_among_the_searches(monkeypatch):
    """A small campaign has all its rounds; a larger one fewer each; one larger still not for all of them."""
    monkeypatch.setattr(wishing, "load_of", lambda inst: inst)
    for load, searches, (rounds, enough) in (
        (1_000, 21, (4, 21)),
        (10_000, 4, (4, 4)),
        (10_000, 5, (2, 5)),
        (19_000, 4, (1, 4)),
        (19_000, 21, (1, 4)),
        (50_000, 5, (1, 1)),
        (500_000, 5, (1, 0)),
    ):
        assert wishing.shared_out(240_000_000, load, searches) == (rounds, enough), load
        assert enough * (rounds + wishing.BESIDE_ROUNDS) * load * 1_000 <= 240_000_000


def test_prices_come_as_far_as_there_is_work_for_them(monkeypatch):
    """The first listed have one; where there is not enough for any, the plan stays as it is."""
    both = ({"runs": POT, "press": "big"}, {"runs": FOOT, "not_before": "2027-01-12"})
    a_round = wishing.STEPS_A_ROUND * wishing.load_of(compile_campaign(wished(*both))[0])
    for searches, priced in ((3, [True, True]), (2, [True, False]), (1, [False, False])):
        monkeypatch.setattr(wishing, "PRICED_WORK", searches * (1 + wishing.BESIDE_ROUNDS) * a_round)
        lines = planned(*both).wishes
        assert [line.kept for line in lines] == [True, True]
        assert [line.costs is not None for line in lines] == priced


def test_what_is_not_looked_at_is_refused_and_says_why(monkeypatch):
    """Two that contradict each other, with work for looks at the first only."""
    first, second = {"runs": CREAM_POT, "done_by": "2027-01-12"}, {"runs": CREAM_POT, "not_before": "2027-01-13"}
    a_round = wishing.STEPS_A_ROUND * wishing.load_of(compile_campaign(wished(first, second))[0])
    monkeypatch.setattr(wishing, "LOOKED_WORK", 3 * (1 + wishing.BESIDE_ROUNDS) * a_round)
    lines = planned(first, second).wishes
    assert [line.kept for line in lines] == [True, False]
    assert (lines[1].rule, lines[1].because) == ("Y1", wishing.TOO_MANY)

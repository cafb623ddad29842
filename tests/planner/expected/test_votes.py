"""A colour that the supporters vote on: a common part until the day, then each colour's own order, purges and price."""

import json
from copy import deepcopy
from itertools import permutations

import pytest

from examples.situations import FOLDER
from planner.campaign.order_of_work import OrderOfWork, WorkRun
from planner.control import Unhurried
from planner.errors import CampaignProblems
from planner.plan.document import RunPlan
from planner.plan.order_of_work import order_of
from planner.planning.make import kept, make_plan
from planner.reading import read
from planner.schedule.encode import compile_campaign
from planner.settled import things, turned_out
from planner.settled.as_read import order_of_branch
from tests.support.assertions import assert_plan_holds, broken_rules

CREAM, MOSS, THIRD = "cream", "moss", "third"


def document():
    """The situation, with a press that never closes: when a run is moulded then changes no money."""
    data = json.loads((FOLDER / "supporters-vote.json").read_text(encoding="utf-8"))
    data["presses"]["big"]["hours"] = {"mon-sun": "00:00-24:00"}
    data["planning"] |= {"rounds": 2, "when_late": "as planned"}
    return data


@pytest.fixture(scope="module")
def made():
    campaign = read(document())
    return campaign, make_plan(campaign, Unhurried())


def once_known(campaign, number):
    thing = things(campaign)[0]
    return turned_out(campaign, thing, thing.turns[number])


def costs(campaign, order):
    """Money for the work in that order of colours, from a plan made of it and audited."""
    runs = [WorkRun(tool="pot", colours=[colour], shots=shots) for colour, shots in order]
    inst, names = compile_campaign(campaign)
    service = order_of(make_plan(campaign.model_copy(update={"planning": no_search(campaign)}), Unhurried())).service
    plan = kept(inst, names, OrderOfWork(presses={"big": runs}, service=service))
    assert plan.audit.holds
    return plan.outcome.total


def no_search(campaign):
    return campaign.planning.model_copy(update={"rounds": 0, "aim": "cost if all goes well"})


def test_nothing_is_moulded_in_it_before_the_vote_is_known(made):
    campaign, plan = made
    told = plan.outcome.expected.branches
    assert told.about == "the vote on the third colour"
    for branch in told.branches:
        assert all(run.begin >= told.known for run in branch.runs if run.melts == ["pp/third"])
    assert_plan_holds(campaign, plan)
    assert not any(rule.left_out for rule in plan.audit.rules)  # the auditor times scenarios of both colours anew


def test_each_branch_costs_what_its_own_campaign_costs_in_that_order(made):
    """The campaign in which the vote is over, its runs in the branch's order, audited by every rule: the same money."""
    campaign, plan = made
    for number, branch in enumerate(plan.outcome.expected.branches.branches):
        inst, names = compile_campaign(once_known(campaign, number))
        there = kept(inst, names, order_of_branch(plan, branch))
        assert there.audit.holds
        assert branch.total == pytest.approx(there.outcome.total, abs=0.01)
        assert branch.mean == pytest.approx(branch.total, abs=0.01)  # nothing else is unsure


def test_no_common_part_and_no_two_orders_cost_less(made):
    """All of them: what is moulded before the vote, then any order of the rest for each colour."""
    campaign, plan = made
    shots = {run.melts[0].partition("/")[2]: run.shots for run in plan.runs}
    cost = {
        (number, order): costs(once_known(campaign, number), [(colour, shots[colour]) for colour in order])
        for number in (0, 1)
        for order in permutations((CREAM, MOSS, THIRD))
    }
    branches = plan.outcome.expected.branches.branches
    heads = [head for n in range(3) for head in permutations((CREAM, MOSS), n)]
    least = min(
        sum(
            branch.chance * min(money for (at, order), money in cost.items() if at == n and order[: len(head)] == head)
            for n, branch in enumerate(branches)
        )
        for head in heads
    )
    assert sum(branch.chance * branch.total for branch in branches) == pytest.approx(least, abs=0.01)
    orders = [[run.melts[0].partition("/")[2] for run in branch.runs] for branch in branches]
    assert orders[0] != orders[1]  # coral before moss, charcoal after it
    best = [min(money for (at, _), money in cost.items() if at == n) for n in (0, 1)]
    assert branches[1].on_top != pytest.approx(best[1] - best[0], abs=0.01)  # not the melt alone: purges too


def test_once_it_is_known_the_colour_is_the_one_that_won(made):
    campaign, _ = made
    then = once_known(campaign, 1).colours
    won, other = then["third"], then["charcoal"]
    assert (won.hex, won.price_per_kg, won.let_down_percent) == (other.hex, other.price_per_kg, other.let_down_percent)
    assert (won.stock_kg, won.arrivals) == (campaign.colours["third"].stock_kg, campaign.colours["third"].arrivals)


def purged_as_planned(said):
    """Charcoal's scenarios as if it were purged like coral: cheaper, and every mean with them."""
    told = said["branches"]
    turned, less = told["turned"], 3.0
    said["costs"] = [cost - less * at for cost, at in zip(said["costs"], turned, strict=True)]
    said["mean"] -= less * sum(turned) / len(turned)
    told["plain_mean"] -= less * sum(turned) / len(turned)
    told["branches"][1]["mean"] -= less
    for one in said["policies"]:
        if one["branches"] or one["policy"] == said["policy"]:
            one["mean"] -= less * sum(turned) / len(turned)
    said["bound"] = said["bound_low"] = None


SPOILS = {
    "charcoal purged as coral": purged_as_planned,
    "the colour that wins left out": lambda said: said["branches"]["branches"][1].update(recipes=[]),
    "its melt dearer than it is": lambda said: said["branches"]["branches"][1].update(on_top=3.0),
}


@pytest.mark.parametrize("spoil", SPOILS)
def test_spoilt_votes_are_caught(made, spoil):
    campaign, plan = made
    spoilt = deepcopy(json.loads(plan.model_dump_json()))
    SPOILS[spoil](spoilt["outcome"]["expected"])
    assert broken_rules(campaign, RunPlan.model_validate(spoilt)) == {"A13"}


REFUSED = {
    "a colour that is none": (lambda d: recipe(d).update(colour="teal"), "not among `colours`"),
    "a colour that is open too": (lambda d: recipe(d).update(colour="third"), "open itself"),
    "masterbatch in hand": (lambda d: d["colours"]["third"].update(stock_kg=5), "in hand before it is known"),
    "no masterbatch": (lambda d: d["colours"]["third"].update(let_down_percent=0), "takes no masterbatch"),
    "another colour, and more": (lambda d: recipe(d).update(price_per_kg=9), "say no more"),
    "a delivery before": (lambda d: d["colours"]["third"]["arrivals"][0].update(on="2027-01-12"), "before it is known"),
}


def recipe(data):
    return data["uncertainty"]["settled"]["vote on the third colour"]["outcomes"]["charcoal"]["recipes"]["third"]


@pytest.mark.parametrize("way", REFUSED)
def test_votes_that_make_no_sense_are_refused(way):
    spoil, words = REFUSED[way]
    data = document()
    spoil(data)
    with pytest.raises(CampaignProblems) as refused:
        read(data)
    assert any(words in f"{problem.message} {problem.remedy}" for problem in refused.value.problems)

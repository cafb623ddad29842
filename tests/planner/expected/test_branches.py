"""Plans with branches: a trial of two outcomes by hand, brute force over both branches, and what no branch may know."""

import json
from itertools import permutations
from math import ceil

import numpy as np
import pytest

from examples.situations import FOLDER
from planner.control import Unhurried
from planner.errors import CampaignProblems
from planner.expected.judged import Candidate, judge
from planner.plan.document import RunPlan
from planner.planning.make import make_plan
from planner.promise.replications import written
from planner.promise.scenarios import draw
from planner.reading import read
from planner.schedule.encode import compile_campaign
from planner.settled import thing_of, things, turned_out
from planner.settled.as_read import as_read
from planner.settled.branches import common_part
from planner.settled.trial_money import trial_money
from tests.planner.expected.jobs import jobs
from tests.support.assertions import assert_plan_holds, broken_rules

SURE = {"early": 0.999999, "likely": 1, "late": 1.000001}


def trial(days: dict[str, float], late: dict[str, float], chance: float, rework: float, when_late: str, **more):
    """One press; the tool of `a` is tried on the first day: it works, or comes `rework` days later, once."""
    told = {name: (value, value, value) for name, value in days.items()}
    data = jobs(told, late).model_dump(mode="json")
    lost = {"early": rework, "likely": rework, "late": rework}
    first = {"success_chance": chance, "rework_days": lost, "on": "2027-01-04", "most_failures": 1}
    data["uncertainty"] = {"tools": {"a": {"first_trial": first | more}}}
    data["planning"] = {"rounds": 2, "when_late": when_late}
    return read(data)


@pytest.fixture(scope="module")
def by_hand():
    campaign = trial({"a": 4, "b": 2, "c": 5}, {"a": 30, "b": 40, "c": 24}, 0.5, 8, "as planned")
    return campaign, make_plan(campaign, Unhurried())


def test_a_trial_of_two_outcomes_by_hand(by_hand):
    """Days on the press: a 4, b 2, c 5; a day until it is done costs 30, 40 and 24. The trial of `a` is on the first
    day, Monday; from the second midnight on it is known whether its tool is there (day 1) or comes on day 9.

    Until then b runs (40 a day over 2 days is the most urgent: 20 a day of work, a 7.5, c 4.8). It works: a from day 2
    to 6, c to 11: b 2 x 40 + a 6 x 30 + c 11 x 24 = 80 + 180 + 264 = 524; the other way round, c 7 and a 11, would be
    80 + 168 + 330 = 578. It does not: c from 2 to 7, a from 9 to 13: 80 + 168 + 390 = 638; were a waited for, a from 9
    to 13 and c to 18: 80 + 390 + 432 = 902. So the branches cost 524 and 638, and on average 581. One order for both is
    at best b, c, a: 578 or 638, 608 on average. Knowing on Tuesday is worth 27. Tuesdays, hours and pennies of lateness
    are counted by whole calendar days of the pick-up, at 16:00 of the day on which a run ends at midnight."""
    campaign, plan = by_hand
    said = plan.outcome.expected
    told = said.branches
    assert told.known.isoformat() == "2027-01-05T00:00:00+00:00"
    works, fails = told.branches
    order = [[run.tool for run in branch.runs] for branch in (works, fails)]
    assert order == [["b", "a", "c"], ["b", "c", "a"]]
    assert [run.tool for run in plan.runs] == order[0]
    begins = [[run.begin.isoformat()[5:16] for run in branch.runs] for branch in (works, fails)]
    assert begins == [["01-04T00:00", "01-06T00:00", "01-10T00:00"], ["01-04T00:00", "01-06T00:00", "01-13T00:00"]]
    fixed = plan.outcome.total - 524
    assert fails.total - fixed == pytest.approx(638, abs=0.005)
    assert works.total - fixed == pytest.approx(524, abs=0.005)
    assert works.mean - fixed == pytest.approx(524, abs=0.005)
    assert fails.mean - fixed == pytest.approx(638, abs=0.005)
    share = fails.scenarios / said.replications
    assert share == pytest.approx(0.5, abs=4 * np.sqrt(0.25 / said.replications))
    assert said.mean - fixed == pytest.approx(524 + 114 * share, abs=0.005)
    assert told.plain_mean - fixed == pytest.approx(578 * (1 - share) + 638 * share, abs=0.005)
    assert [run.common for run in works.runs] == [True, False, False]
    assert not told.same
    assert_plan_holds(campaign, plan)


def test_a_further_trial_costs_its_money_once():
    """The same, and a trial that is done again costs 50: only where the first one fails."""
    campaign = trial({"a": 4, "b": 2, "c": 5}, {"a": 30, "b": 40, "c": 24}, 0.5, 8, "as planned", cost=50)
    plan = make_plan(campaign, Unhurried())
    works, fails = plan.outcome.expected.branches.branches
    assert fails.total - works.total == pytest.approx(638 - 524 + 50, abs=0.005)
    assert fails.mean - works.mean == pytest.approx(638 - 524 + 50, abs=0.005)
    assert_plan_holds(campaign, plan)


def test_what_a_further_trial_takes_is_counted():
    """By hand: three hours of a press at 40 are 120, two of a setter at 30 are 60, 2 kg of melt at 2.16 (0.98 x 2 and
    0.02 x 10) and 0.50 to get rid of it are 5.32; with 250 of its own 435.32. The plan says so of the branch in which
    it fails, the auditor adds it up by itself, and a trial after the next rework costs the same."""
    data = json.loads((FOLDER / "trial-on-our-press.json").read_text(encoding="utf-8"))
    data["floor"] = {"setter_rate_per_hour": 30, "disposal_per_kg": 0.5}
    data["uncertainty"]["tools"]["lid"]["first_trial"] |= {"setter_hours": 2, "kg": [2], "most_failures": 2}
    data["planning"] = {"rounds": 1}
    campaign = read(data)
    first = campaign.uncertainty.tools["lid"].first_trial
    assert trial_money(campaign, first) == pytest.approx(435.32, abs=1e-9)
    thing = thing_of(campaign, "tool/lid/trial")
    assert thing.turns[1].cost == pytest.approx(435.32, abs=1e-9)
    after = turned_out(campaign, thing, thing.turns[1]).uncertainty.tools["lid"].first_trial
    assert trial_money(campaign, after) == pytest.approx(435.32, abs=1e-9)
    plan = make_plan(campaign, Unhurried())
    assert_plan_holds(campaign, plan)
    assert plan.outcome.expected.branches.branches[1].on_top == pytest.approx(435.32, abs=0.005)
    data["uncertainty"]["tools"]["lid"]["first_trial"]["kg"] = [2, 1]
    with pytest.raises(CampaignProblems, match="2 figures for 1 melts"):
        read(data)


def test_where_one_order_is_right_either_way_both_branches_keep_it():
    """A rework of a day is over before `b` is: nothing is to be gained by knowing."""
    campaign = trial({"a": 4, "b": 3, "c": 5}, {"a": 30, "b": 60, "c": 10}, 0.5, 1, "as planned")
    plan = make_plan(campaign, Unhurried())
    told = plan.outcome.expected.branches
    assert told.same
    assert told.worth == pytest.approx(0, abs=1e-6)
    assert [[run.tool for run in one.runs] for one in told.branches] == [["b", "a", "c"]] * 2
    assert_plan_holds(campaign, plan)


@pytest.mark.parametrize(
    ("seed", "when_late"), [(1, "as planned"), (2, "first ready"), (3, "as planned"), (4, "as planned")]
)
def test_brute_force_over_all_orders_and_both_branches(seed, when_late):
    """Four jobs, one press, all set: the best pair of orders with the same beginning, found by going through all."""
    chance = np.random.default_rng(seed)
    days = {name: float(chance.integers(1, 6)) for name in "abcd"}
    late = {name: float(chance.integers(5, 60)) for name in "abcd"}
    share, rework = float(chance.integers(3, 8)) / 10, float(chance.integers(4, 11))
    campaign = trial(days, late, share, rework, when_late)
    plan = make_plan(campaign, Unhurried())
    assert_plan_holds(campaign, plan)
    said = plan.outcome.expected
    fails = said.branches.branches[1].scenarios / said.replications

    def cost(order, ready: float) -> float:
        at, total = 0.0, 0.0
        for name in order:
            at = max(at, ready if name == "a" else 0.0) + days[name]
            total += late[name] * at
        return total

    def common(order) -> int:
        """Runs begun before the first midnight, if it works; `a` is not, its tool is tried."""
        return 0 if order[0] == "a" else 1

    def best(order) -> float:
        head = order[: common(order)]
        ways = [head + rest for rest in permutations([n for n in "abcd" if n not in head])]
        return min(cost(way, 1.0) for way in ways) * (1 - fails) + min(cost(way, 1 + rework) for way in ways) * fails

    least = min(best(order) for order in permutations("abcd"))
    fixed = plan.outcome.total - cost([run.tool for run in plan.runs], 1.0)
    assert said.mean - fixed == pytest.approx(least, abs=0.02)


def test_the_document_is_read_back_with_its_branches(by_hand):
    """Followed through the scenarios of its seed, the plan costs in each what the document says."""
    campaign, plan = by_hand
    said = plan.outcome.expected
    inst, names = compile_campaign(campaign)
    drawn = draw(campaign, said.replications, said.seed)
    own = as_read(inst, names, plan)
    again = judge(
        names, Candidate(*own[:2], "as planned", branched=own[2]), written(inst, names, drawn), 1, drawn.turned
    )
    assert again.cost == pytest.approx(said.costs, abs=1e-3)
    assert again.chance_all == said.chance_all


def test_nothing_but_the_common_part_begins_before_the_outcome_is_known(by_hand):
    campaign, plan = by_hand
    inst, names = compile_campaign(campaign)
    ours, solution, branched = as_read(inst, names, plan)
    own, _ = common_part(ours, solution, branched.known)
    assert own == branched.common
    assert branched.common.heads == (1,)


def test_another_recipe_costs_what_its_melt_costs_more():
    """By hand: the colour of all parts is approved on the first day, or its masterbatch is 4 in 100 at 30 a kg instead
    of what is planned; on top comes the price of a kilogram of melt then, less its price now, for all planned shots."""
    campaign = trial({"a": 4, "b": 2, "c": 5}, {"a": 30, "b": 40, "c": 24}, 0.5, 8, "as planned")
    data = campaign.model_dump(mode="json")
    [colour] = data["colours"]
    data["colours"][colour] |= {"let_down_percent": 2, "price_per_kg": 10, "lead_days": 2, "stock_kg": 0}
    data["uncertainty"] = {"settled": {"approval": {"on": "2027-01-04", "outcomes": {
        "approved": {"chance": 0.5},
        "another recipe": {"chance": 0.5, "cost": 7, "recipes": {colour: {"let_down_percent": 4, "price_per_kg": 30}}},
    }}}}  # fmt: skip
    campaign = read(data)
    plan = make_plan(campaign, Unhurried())
    said = plan.outcome.expected
    approved, other = said.branches.branches
    resin = next(iter(campaign.resins.values())).price_per_kg
    kg = sum(line.used_kg for line in plan.materials if line.kind == "masterbatch") / 0.02
    moulded = sum(run.shots * sum(weights(campaign, run)) for run in plan.runs)
    assert moulded <= kg
    more = (0.96 * resin + 0.04 * 30) - (0.98 * resin + 0.02 * 10)
    assert (approved.on_top, approved.recipes) == (0, [])
    assert other.on_top == pytest.approx(7 + moulded * more, abs=0.01)
    assert other.recipes == [f"{colour}: 4 in 100, 30 {campaign.currency} a kg"]
    turned = said.branches.turned
    means = [np.mean([cost for cost, at in zip(said.costs, turned, strict=True) if at == n]) for n in (0, 1)]
    thrown_away = kg - moulded  # at starts, in that melt too
    bags = [5 * ceil(kg * share / 5) - kg * share for share in (0.02, 0.04)]
    left_over = 30 * bags[1] - 10 * bags[0]
    assert means[1] - means[0] == pytest.approx(other.on_top + thrown_away * more + left_over, abs=0.01)
    assert_plan_holds(campaign, plan)
    then = turned_out(campaign, things(campaign)[0], things(campaign)[0].turns[1])
    assert (then.colours[colour].let_down_percent, then.colours[colour].price_per_kg) == (4, 30)
    assert then.uncertainty.settled == {}
    cheaper = json.loads(plan.model_dump_json())
    cheaper["outcome"]["expected"]["branches"]["branches"][1]["on_top"] -= 3
    assert broken_rules(campaign, RunPlan.model_validate(cheaper)) == {"A13"}


def weights(campaign, run):
    """Kilograms of melt one shot takes, barrel by barrel."""
    tool = campaign.tools[run.tool]
    for barrel in range(len(run.melts)):
        parts = (n * campaign.parts[part].barrels[barrel].mass_g for part, n in tool.cavities.items())
        runner = tool.runner_g[barrel] if barrel < len(tool.runner_g) else 0
        yield (sum(parts) + runner) / 1000

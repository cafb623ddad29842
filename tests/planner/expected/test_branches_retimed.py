"""Twenty scenarios of a plan with branches timed anew from its documents by the plain twins, to the penny."""

import random
from datetime import timedelta

import numpy as np
import pytest

from benchmarks.generator import small
from benchmarks.ways import finishing
from planner.campaign import Campaign
from planner.campaign.common_case import common_case
from planner.campaign.uncertainty import FirstTrial, ThreePoint
from planner.control import Unhurried
from planner.planning.make import make_plan
from planner.promise.replications import written
from planner.promise.scenarios import draw
from planner.reading import read
from planner.schedule import timing as w
from planner.schedule.encode import compile_campaign
from planner.schedule.instance import packed_instance
from planner.schedule.solution import objective_of
from planner.schedule.timing import timing_for
from planner.settled.as_read import as_read
from planner.settled.branches import rows_in
from tests.planner.expected.test_branches import trial
from tests.planner.promise.plain_loop import in_scenario, plain_replications
from tests.planner.schedule.plain.evaluate import carried_out
from tests.support.assertions import assert_passed
from tests.support.sampled import EVERY, sampled

TWENTY = 20
FEW = 4 if EVERY else 2
"""Plans with branches."""


def with_a_trial(seed: int) -> Campaign:
    """A small campaign of the common case in which one tool is tried on the second day."""
    campaign = small(seed)
    name = min(campaign.tools)
    day = campaign.start.date() + timedelta(days=1)
    tools = campaign.tools | {name: campaign.tools[name].model_copy(update={"ready": day})}
    campaign = campaign.model_copy(update={"tools": tools})
    unsure = common_case(campaign)
    days = ThreePoint(early=7, likely=8, late=10)
    first = FirstTrial(success_chance=0.6, rework_days=days, on=day, most_failures=1)
    said = unsure.tools[name].model_copy(update={"first_trial": first, "ready_days": None})
    planning = campaign.planning.model_copy(update={"rounds": 2, "when_late": "as planned"})
    told = unsure.model_copy(update={"tools": unsure.tools | {name: said}})
    return campaign.model_copy(update={"uncertainty": told, "planning": planning})


def read_again(campaign, plan):
    """Scenarios of the plan's seed with the branch each is in, and the branches as the document has them."""
    said = plan.outcome.expected
    inst, names = compile_campaign(campaign)
    drawn = draw(campaign, said.replications, said.seed)
    _, _, branched = as_read(inst, names, plan)
    return said, written(inst, names, drawn), drawn.turned[branched.thing.id], branched


@pytest.mark.parametrize("rework", [3, 8])
def test_by_the_twin_that_shares_no_code(rework):
    """One press: presses, benches, pick-ups and money by `tests.planner.schedule.plain`."""
    campaign = trial({"a": 4, "b": 2, "c": 5}, {"a": 30, "b": 40, "c": 24}, 0.5, rework, "as planned")
    plan = make_plan(campaign, Unhurried())
    said, scenarios, turned, branched = read_again(campaign, plan)
    assert said.branches.turned == turned.tolist()
    assert not any(rule.left_out for rule in plan.audit.rules)  # the auditor times twenty of its own
    for k in range(TWENTY):
        branch = branched.branches[turned[k]]
        told = rows_in(scenarios, np.array([k]), branch)
        own = in_scenario(branch.inst, told, 0, [])
        result = carried_out(own, branch.solution.lots(), branch.solution.order.tolist())
        assert result.cost == pytest.approx(said.costs[k], abs=1e-3)


def test_small_campaigns_scenario_by_scenario():
    """Several presses, deliveries, scrap, benches that take what is there: by the plain loop, branch by branch."""
    looked = apart = 0
    for seed in range(1, 40):
        campaign = with_a_trial(seed)
        plan = make_plan(campaign, Unhurried())
        told = plan.outcome.expected.branches if plan.outcome.expected else None
        if told is None or told.same:
            continue
        assert_passed(plan)
        said, scenarios, turned, branched = read_again(campaign, plan)
        for n, branch in enumerate(branched.branches):
            rows = np.flatnonzero(turned == n)[: TWENTY // 2]
            found = plain_replications(branch.inst, branch.solution, rows_in(scenarios, rows, branch), False)
            costs = [said.costs[k] for k in rows]
            assert [money for money, _, _ in found] == pytest.approx(costs, abs=1e-3)
            _nothing_before(branch, branched)
        apart += told.branches[0].runs != told.branches[1].runs
        looked += 1
        if looked == FEW:
            break
    assert looked == FEW
    assert apart


def test_work_between_press_and_assembly_waits_for_the_outcome_too():
    """Benches of our own before assembly, and lots that go to other firms."""
    apart = 0
    for seed in sampled((0, 1, 2, 3, 4, 8), 2):
        data = small(seed).model_dump(mode="json", exclude_unset=True)
        finishing(random.Random(f"anew {seed}"), data)
        campaign = read(data)
        tool, day = min(campaign.tools), campaign.start.date() + timedelta(days=2)
        days = {"early": 5, "likely": 7, "late": 9}
        first = {"success_chance": 0.6, "rework_days": days, "on": day.isoformat(), "most_failures": 1}
        scrap = {"early": 0.01, "likely": 0.03, "late": 0.08}
        data["uncertainty"] = {"tools": {tool: {"first_trial": first, "scrap_share": scrap}}}
        data["planning"] = data.get("planning", {}) | {"rounds": 2, "when_late": "as planned"}
        campaign = read(data)
        plan = make_plan(campaign, Unhurried())
        assert_passed(plan)
        assert plan.outcome.expected is not None  # the first plan found broke no rule
        [mean] = [rule for rule in plan.audit.rules if rule.rule == "A13"]
        assert mean.left_out == []
        told = plan.outcome.expected.branches
        apart += told is not None and not told.same
    assert apart


def _nothing_before(branch, branched):
    """In its own likely world nothing but the common part begins before the outcome is known."""
    timing = timing_for(branch.inst)
    objective_of(packed_instance(branch.inst), branch.solution, timing)
    for p, lots in enumerate(branch.solution.lots()):
        for lot in lots[branched.common.heads[p] :]:
            opened = timing.pieces[timing.lots[lot, w.FIRST_PIECE], w.OPENED]
            assert min(timing.lots[lot, w.CO_START], opened) >= branched.known

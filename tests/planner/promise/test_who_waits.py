"""Whom a late tool keeps waiting (RULES.md, S4.1 and S4.2): benches never keep a tier waiting for a tool it does not
use; a press does where it keeps its order, and only then."""

import numpy as np
import pytest

from planner.expected.judged import Candidate, judge
from planner.promise.replications import written
from planner.promise.scenarios import draw
from planner.reading import read
from planner.schedule.encode import compile_campaign
from planner.schedule.solution import Solution
from tests.planner.expected.jobs import jobs

SCENARIOS = 200
LATE = {"early": 5, "likely": 6, "late": 7}


def leaves(presses: int, policy: str):
    """Two tiers, each of a part of its own; the tool of `a` comes five to seven days late. By how many
    days each tier's last parcel leaves later in each scenario; `a` comes first on one press, or each has its own."""
    data = jobs(dict.fromkeys(("a", "b"), (2, 2, 2)), {"a": 30, "b": 40}).model_dump(mode="json")
    data["uncertainty"] = {"tools": {"a": {"ready_days": LATE}}}
    if presses == 2:
        data["presses"]["two"] = dict(data["presses"]["one"])
        data["tools"]["b"]["presses"] = ["two"]
    campaign = read(data)
    inst, names = compile_campaign(campaign)
    solution = Solution.empty(inst)
    order = sorted(range(inst.lot_run.size), key=lambda lot: names.runs[inst.lot_run[lot]].tool)
    for lot in order:
        solution.append(1 if presses == 2 and names.runs[inst.lot_run[lot]].tool == "b" else 0, lot)
    solution.order = np.array(sorted(range(len(names.batches)), key=lambda b: names.batches[b].tier), dtype=np.int64)
    scenarios = written(inst, names, draw(campaign, SCENARIOS, 7))
    found = judge(names, Candidate(inst, solution, policy), scenarios, 1)
    calm = judge(names, Candidate(inst, solution, policy), scenarios._replace(ready=scenarios.ready[:0]), 1)
    return {tier: found.leaves[tier] - calm.leaves[tier] for tier in ("a", "b")}


@pytest.mark.parametrize("policy", ["as planned", "first ready", "plan again"])
def test_benches_take_what_is_there(policy):
    """Each tool on a press of its own, `a` served first: `b` leaves as planned in every scenario."""
    late = leaves(2, policy)
    assert (late["b"] == 0).all()
    assert (late["a"] >= LATE["early"]).all()


@pytest.mark.parametrize("policy", ["first ready", "plan again"])
def test_a_press_that_does_not_keep_its_order_keeps_nobody_waiting(policy):
    """Two days of work are done while `a` is not there: `b` leaves two days sooner than behind it."""
    assert (leaves(1, policy)["b"] <= 0).all()


def test_a_press_that_keeps_its_order_does():
    """That is what keeping it means: `b`, behind `a` on one press, leaves as many days later as `a` comes."""
    late = leaves(1, "as planned")
    assert (late["b"] == late["a"]).all()
    assert (late["b"] >= LATE["early"]).all()

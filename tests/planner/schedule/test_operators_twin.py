"""People who stay at a press while it moulds (R26): the compiled evaluator and its plain twin agree, plans that are
found are as good as trying all of them, and no bound is above any."""

from collections import Counter

import numpy as np

from benchmarks.generator import small
from benchmarks.generator import tiny as few_runs
from planner.control import Unhurried
from planner.planning.make import make_plan
from planner.schedule import timing as w
from planner.schedule.encode import compile_campaign
from planner.schedule.search import Budget, search
from planner.schedule.timing import timing_for
from tests.planner.schedule.brute_force import brute_force
from tests.planner.schedule.few_plans import drawn, equal_trying_every_plan, found_as_good, proven
from tests.planner.schedule.plain.compared import evaluated_twice
from tests.support.operators import tended, too_few

TOO_FEW = (5, 7, 22, 25, 26, 34)
ALWAYS_ENOUGH = (0, 5, 6, 9, 11, 13, 17, 19, 25, 27, 28, 31)
"""Seeds of campaigns small enough to try every plan (see `few_plans`)."""


def test_evaluator_equals_its_plain_twin() -> None:
    """Times to the second, money to the cent."""
    seen: Counter[str] = Counter()
    for seed in range(60):
        campaign = tended(small(seed), seed)
        if campaign is None:
            continue
        inst, _ = compile_campaign(campaign)
        timing = timing_for(inst)
        for _ in evaluated_twice(inst, timing, seed, 3):
            seen["waits for them"] += bool((timing.lots[:, w.WHY] == w.BY_OPERATORS).any())
            seen["always enough"] += bool(inst.tended) and not inst.operators
            seen["paid"] += bool(inst.tended) and bool(inst.tending_cost_s.any())
            seen["lights out"] += bool(inst.tended) and bool((inst.hands_end < inst.open_end).any())
            seen["at two places"] += bool(inst.operators) and np.unique(inst.operator_first).size > 1
    assert min(seen[what] for what in ("waits for them", "always enough", "paid", "lights out")) > 2, seen
    assert seen["at two places"] > 0, seen


def test_small_campaigns_equal_trying_every_plan_where_they_are_too_few() -> None:
    """The search ends at the twin's optimum, and no bound is above it."""
    tried = equal_trying_every_plan(too_few, lambda inst: inst.operators > 0, TOO_FEW)
    assert len(tried) == len(TOO_FEW)


def test_small_campaigns_are_proven_where_there_are_always_enough() -> None:
    """They cost money and keep hours, and nobody is waited for: every plan is gone through."""
    drawn_instances = drawn(
        lambda seed: tended(few_runs(seed), seed), lambda inst: bool(inst.tended and not inst.operators), ALWAYS_ENOUGH
    )
    assert len(drawn_instances) == len(ALWAYS_ENOUGH)
    seen: Counter[str] = Counter()
    for seed, inst in drawn_instances:
        if inst.sent_out:
            continue
        if proven(seed, inst) is None:
            continue
        found = found_as_good(seed, inst, brute_force(inst))
        assert found is not None
        assert found.ended == "proven"
        seen["proven"] += 1
        seen["paid"] += bool(inst.tending_cost_s.any())
        seen["lights out"] += bool((inst.hands_end < inst.open_end).any())
    assert min(seen["proven"], seen["paid"], seen["lights out"]) > 2, seen


def test_too_few_of_them_are_never_called_proven_by_going_through_orders() -> None:
    """A press might wait so that another has them first; only a bound that is met proves."""
    seen = 0
    for seed, inst in drawn(too_few, lambda inst: inst.operators > 0, TOO_FEW):
        best = brute_force(inst)
        if best == np.inf:
            continue
        found = search(inst, Budget(5, 1, 0.0), Unhurried())
        assert found.objective <= best + 1e-6, seed
        assert found.ended != "proven" or found.cost - found.bound <= 0.01, seed
        seen += 1
    assert seen >= 3


def test_plans_hold_before_the_auditor() -> None:
    """Planned, told and audited; some pause when people leave."""
    seen: Counter[str] = Counter()
    for seed in range(20):
        campaign = tended(small(seed), seed)
        if campaign is None:
            continue
        planning = campaign.planning.model_copy(update={"rounds": 2})
        plan = make_plan(campaign.model_copy(update={"planning": planning}), Unhurried())
        assert plan.audit is not None, seed
        assert plan.audit.holds, (seed, [rule for rule in plan.audit.rules if not rule.holds])
        stayed = [run for run in plan.runs if run.operators]
        seen["plans"] += 1
        seen["stayed"] += len(stayed)
        seen["pause"] += any(len(run.stretches) > 1 for run in stayed) and campaign.floor.attended is not None
        seen["waited"] += any(run.waits_for == "operators" for run in plan.runs)
    assert min(seen["plans"], seen["stayed"]) >= 10, seen
    assert min(seen["pause"], seen["waited"]) > 0, seen

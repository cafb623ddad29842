"""Where resins break down or need one between them: bounds below every plan, proofs equal to trying every plan."""

from collections import Counter
from math import factorial

from benchmarks.floor_campaigns import floor_document
from planner.control import Unhurried
from planner.errors import CampaignProblems
from planner.reading import read
from planner.schedule.bounds.changeovers import least_changeovers
from planner.schedule.bounds.lower_bound import Solvers, at_once, with_effort
from planner.schedule.branch_and_bound.exact import Exact, exhaust
from planner.schedule.construct import first_plans
from planner.schedule.encode import compile_campaign
from planner.schedule.instance import Instance, packed_instance
from planner.schedule.timing import timing_for
from tests.planner.schedule.test_bounds_and_proof import brute_force, every_sequence, is_the_best

MOST_PLANS = 72
WANTED = 14


def _instances() -> list[tuple[int, Instance]]:
    found: list[tuple[int, Instance]] = []
    for seed in range(400):
        data = floor_document(seed)
        for line in data["orders"]:
            line["count"] = min(line["count"], 30)
        for tool in data["tools"].values():
            tool.pop("smallest_lot_shots", None)
        try:
            inst, _ = compile_campaign(read(data))
        except CampaignProblems:
            continue
        if not 2 <= inst.lot_run.size <= 4 or inst.batch_work.size > 3 or not (inst.clearing or inst.bridging):
            continue
        if 2 <= len(every_sequence(inst)) * factorial(inst.batch_work.size) <= MOST_PLANS:
            found.append((seed, inst))
        if len(found) == WANTED:
            break
    return found


def test_proofs_and_bounds_hold_where_resins_break_down() -> None:
    """The branching ends proven at the twin's optimum, and the bound is not above it."""
    seen: Counter[str] = Counter()
    for seed, inst in _instances():
        arrays, timing = packed_instance(inst), timing_for(inst)
        plans = first_plans(inst, arrays, timing)
        if not plans:
            continue
        value, plan = plans[-1]
        best = brute_force(inst)
        least = least_changeovers(inst)
        known = at_once(inst, least)
        bounds = [known.total, *(better.total for better, _ in with_effort(inst, least, known, 1.0, Solvers()))]
        assert max(bounds) <= best + 1e-6, seed
        found = exhaust(inst, timing, Exact(plan, value, False), Unhurried())
        assert found.proven, seed
        assert is_the_best(inst, found.value, found.best, best), seed
        seen["bridged"] += inst.bridging
        seen["cleared"] += inst.clearing
        seen["campaigns"] += 1
    assert seen["campaigns"] >= WANTED // 2, seen
    assert seen["bridged"] > 2, seen
    assert seen["cleared"] > 2, seen

"""Dryers (R22, R23): the compiled evaluator and its plain twin agree on every plan, and proofs with trying them all."""

import random
from collections import Counter
from math import factorial

import numpy as np
import pytest

from benchmarks.floor_campaigns import floor_campaign, floor_document
from planner.control import Unhurried
from planner.errors import CampaignProblems
from planner.reading import read
from planner.schedule import timing as w
from planner.schedule.bounds.changeovers import least_changeovers
from planner.schedule.bounds.lower_bound import Solvers, at_once, with_effort
from planner.schedule.branch_and_bound.exact import Exact, exhaust
from planner.schedule.construct import first_plans
from planner.schedule.encode import compile_campaign
from planner.schedule.instance import NEVER, Instance, packed_instance
from planner.schedule.solution import objective_of
from planner.schedule.timing import timing_for
from tests.planner.schedule.plain_twin import CannotBeDone, carried_out, objective
from tests.planner.schedule.test_bounds_and_proof import brute_force, every_sequence, is_the_best
from tests.planner.schedule.test_evaluator_twin import random_plan

CAMPAIGNS_A_BLOCK = 40
MOST_PLANS = 72
WANTED = 12


@pytest.mark.parametrize("block", range(2))
def test_evaluator_equals_its_plain_twin_where_dryers_are_shared(block: int) -> None:
    """Times to the second, money to the cent; waits for dryers and cleanings are among them."""
    seen: Counter[str] = Counter()
    for seed in range(block * CAMPAIGNS_A_BLOCK, (block + 1) * CAMPAIGNS_A_BLOCK):
        campaign = floor_campaign(seed, dryers=True)
        if campaign is None:
            continue
        inst, _ = compile_campaign(campaign)
        if not inst.dryers:
            continue
        tp, timing = packed_instance(inst), timing_for(inst)
        draw = random.Random(seed)
        for _ in range(2):
            solution = random_plan(inst, draw)
            value = objective_of(tp, solution, timing)
            try:
                plain = carried_out(inst, solution.lots(), [int(b) for b in solution.order])
            except CannotBeDone:
                assert value == np.inf, seed
                continue
            seen["feasible"] += 1
            for lot, what in plain.lots.items():
                row = timing.lots[lot]
                change = None if row[w.CO_START] == NEVER else (row[w.CO_START], row[w.CO_END])
                assert (row[w.END] - inst.filled().closing_s[what.press, inst.lot_run[lot]], change) == (
                    what.end,
                    what.changeover,
                ), (seed, lot)
            assert timing.totals[w.SETTER_COST] == pytest.approx(plain.lines["setter"], rel=1e-9, abs=1e-6), seed
            assert value == pytest.approx(objective(inst, plain), rel=1e-9, abs=1e-6), seed
            seen["waited"] += int((timing.lots[:, w.WHY] == w.BY_DRYER).sum())
            count = timing.dryers[0, w.DRAWS]
            had: dict[int, int] = {}
            for dryer, resin in timing.draws[:count, [w.DRYER, w.RESIN]].tolist():
                seen["cleaned"] += had.get(dryer, resin) != resin
                had[dryer] = resin
            seen["people"] += inst.there_start.size > 0
    assert seen["feasible"] >= CAMPAIGNS_A_BLOCK // 2
    assert min(seen["waited"], seen["cleaned"], seen["people"]) > 0, seen


def _instances() -> list[tuple[int, Instance]]:
    found: list[tuple[int, Instance]] = []
    for seed in range(600):
        data = floor_document(seed, dryers=True)
        for line in data["orders"]:
            line["count"] = min(line["count"], 60)
        for tool in data["tools"].values():
            tool.pop("smallest_lot_shots", None)
        try:
            inst, _ = compile_campaign(read(data))
        except CampaignProblems:
            continue
        if not 2 <= inst.lot_run.size <= 4 or inst.batch_work.size > 3 or not inst.dryers:
            continue
        if 2 <= len(every_sequence(inst)) * factorial(inst.batch_work.size) <= MOST_PLANS:
            found.append((seed, inst))
        if len(found) == WANTED:
            break
    return found


def test_proofs_and_bounds_hold_where_dryers_are_shared() -> None:
    """The branching ends proven at the twin's optimum, and the bound is not above it."""
    seen: Counter[str] = Counter()
    for seed, inst in _instances():
        arrays, timing = packed_instance(inst), timing_for(inst)
        plans = first_plans(inst, arrays, timing)
        if not plans:
            continue
        value, plan = plans[-1]
        best = brute_force(inst)
        found = exhaust(inst, timing, Exact(plan, value, False), Unhurried())
        assert found.proven, seed
        assert is_the_best(inst, found.value, found.best, best), seed
        least = least_changeovers(inst)
        known = at_once(inst, least)
        bounds = [known.total, *(better.total for better, _ in with_effort(inst, least, known, 1.0, Solvers()))]
        assert max(bounds) <= best + 1e-6, seed
        objective_of(packed_instance(inst), found.best, timing)
        seen["campaigns"] += 1
        seen["waited"] += int((timing.lots[:, w.WHY] == w.BY_DRYER).any())
    assert seen["campaigns"] >= WANTED // 2, seen
    assert seen["waited"] > 0, seen

"""Proofs where batches are late, lots split, resins clash, runs are pinned or compound is used: against every plan."""

import random
from collections import Counter
from math import factorial

import numpy as np
import pytest

from benchmarks.plain_workshop import least_makespan, workshop
from benchmarks.small_campaigns import document
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.demand.items import run_demands
from planner.errors import CampaignProblems
from planner.reading import read
from planner.schedule.branch_and_bound.exact import Exact, exhaust
from planner.schedule.branch_and_bound.symmetry import kinds_of
from planner.schedule.construct import first_plans
from planner.schedule.encode import compile_campaign
from planner.schedule.instance import Instance, packed_instance
from planner.schedule.solution import objective_of, waiting
from planner.schedule.timing import LATENESS, timing_for
from tests.planner.schedule.brute_force import brute_force, every_sequence, is_the_best
from tests.support.compound import cleaned

MOST_PLANS = 72
WANTED = 20
SEEDS = (12, 17, 28, 29, 37, 38, 39, 40, 41, 43, 48, 54, 57, 58, 70, 71, 75, 76, 79, 85)
"""Of the first hundred, those whose campaigns have few enough plans, as many with split lots as without."""


def small_and_late(seed: int) -> Campaign | None:
    """A few runs of which nothing leaves in time; None where the draw contradicts itself."""
    draw = random.Random(f"proof {seed}")
    data = document(draw, draw.randint(2, 4), draw.randint(1, 2), draw.randint(1, 3), draw.choice([20, 60]))
    for tool in data["tools"].values():
        if draw.random() < 0.6:
            tool["smallest_lot_shots"] = 3
    for tier in data["tiers"].values():
        tier |= {"promised": data["start"][:10], "late_cost_per_day": draw.choice([0.1, 3])}
    try:
        campaign = read(data)
    except CampaignProblems:
        return None
    return cleaned(campaign, seed) if seed % 3 == 0 else campaign


def _instances() -> list[tuple[int, Instance]]:
    found: list[tuple[int, Instance]] = []
    seen: Counter[bool] = Counter()
    for seed in SEEDS:
        campaign = small_and_late(seed)
        if campaign is None or len(run_demands(campaign)) > 5:  # laying it out takes longer than this look
            continue
        inst, _ = compile_campaign(campaign)
        if not 2 <= inst.lot_run.size <= 5 or inst.batch_work.size > 3:
            continue
        split = inst.lot_run.size > inst.run_tool.size
        if seen[split] < WANTED // 2 and 2 <= len(every_sequence(inst)) * factorial(inst.batch_work.size) <= MOST_PLANS:
            seen[split] += 1
            found.append((seed, inst))
    assert len(found) == WANTED
    return found


def test_proofs_are_what_trying_every_plan_finds() -> None:
    """From any first plan the branching ends proven, at the twin's optimum; each of the hard things is among them."""
    features: Counter[str] = Counter()
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
        objective_of(packed_instance(waiting(inst, found.best)), found.best, timing)
        features["waits"] += found.best.release is not None
        features["late"] += timing.totals[LATENESS] > 0
        features["lots"] += inst.lot_run.size > inst.run_tool.size
        features["kinds"] += kinds_of(inst).run.size < inst.lot_run.size
        features["pinned"] += int(inst.pinned.sum()) > 0
        features["compound"] += inst.compound >= 0
        features["presses"] += inst.restart_s.size > 1
        features["served"] += inst.batch_work.size > 1
        features["better"] += found.value < value - 1e-4
        features["campaigns"] += 1
    hard = ("late", "lots", "kinds", "pinned", "compound", "presses", "served", "better")
    assert all(features[name] for name in hard), features
    assert features["campaigns"] >= WANTED // 2, features


def test_a_proof_keeps_resins_apart_that_clash() -> None:
    """Three jobs on two presses: the best split would put two together that must never meet."""
    inst = least_makespan(workshop([[3, 3, 9], [9, 9, 5]]))
    apart = np.zeros_like(inst.clash)
    apart[0, 1] = apart[1, 0] = True
    values = []
    for kept in (inst, inst._replace(clash=apart)):
        arrays, timing = packed_instance(kept), timing_for(kept)
        value, plan = first_plans(kept, arrays, timing)[-1]
        found = exhaust(kept, timing, Exact(plan, value, False), Unhurried())
        assert found.proven
        assert found.value == pytest.approx(brute_force(kept), abs=2e-4)
        values.append(found.value)
    assert values[0] < values[1]

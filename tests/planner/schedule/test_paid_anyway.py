"""What whole bags leave over and hot runners take in every plan: no plan pays less for them than bounds say."""

from collections import Counter
from itertools import pairwise, permutations
from random import Random

import numpy as np
import pytest

from benchmarks.generator import small
from planner.schedule import timing as w
from planner.schedule.bounds.hot_runners import MOST_RUNS, hot_runner_money, shortest_path
from planner.schedule.bounds.whole_bags import bought_once, left_over_kg
from planner.schedule.encode import compile_campaign
from planner.schedule.instance import Instance, packed_instance
from planner.schedule.solution import Solution, allowed, objective_of
from planner.schedule.timing import Timing, timing_for

CHEAPER_KG = 1e-3
"""Money by which two sums of kilograms may differ: the bound takes some milligrams off each material."""


def some_plans(inst: Instance, draw: Random, number: int) -> list[Solution]:
    """Orders of work drawn at random that may be carried out."""
    plans = []
    for _ in range(number):
        solution = Solution.empty(inst)
        lots = list(range(int(inst.pinned.sum()), inst.lot_run.size))
        draw.shuffle(lots)
        head = 0
        for p, pinned in enumerate(inst.pinned.tolist()):
            for lot in range(head, head + pinned):
                solution.append(p, lot)
            head += pinned
        for lot in lots:
            solution.append(draw.choice(np.flatnonzero(inst.fits[:, inst.lot_run[lot]]).tolist()), lot)
        if allowed(inst, solution):
            plans.append(solution)
    return plans


def timed(inst: Instance, solution: Solution) -> Timing | None:
    timing = timing_for(inst)
    return timing if objective_of(packed_instance(inst), solution, timing) < np.inf else None


def test_no_plan_pays_less_for_material_than_with_its_leftovers_counted_once() -> None:
    """The same plan, timed by the campaign and by what bounds see of it, leftovers there left out: not dearer."""
    draw, seen = Random(15), Counter[str]()
    for seed in range(50):
        inst, _ = compile_campaign(small(seed))
        once = bought_once(inst)
        for solution in some_plans(inst, draw, 6):
            whole, cheap = timed(inst, solution), timed(once, solution)
            if whole is None or cheap is None:
                continue
            seen["plans"] += 1
            raised = once.fixed_cost > inst.fixed_cost
            seen["raised"] += raised
            without = float(cheap.totals[w.COST] - cheap.totals[w.LEFTOVER])
            assert without <= float(whole.totals[w.COST]) + CHEAPER_KG, seed
            plain = float(whole.totals[w.COST] - whole.totals[w.LEFTOVER])
            seen["nearer"] += raised and without > plain + CHEAPER_KG
    assert min(seen[what] for what in ("plans", "raised", "nearer")) >= 50, seen


def test_left_over_is_what_the_evaluator_counts() -> None:
    """By kilograms: what a timed plan pays for leftovers is what `left_over_kg` says of what it used."""
    draw, paid = Random(16), 0
    for seed in range(25):
        inst, _ = compile_campaign(small(seed))
        for solution in some_plans(inst, draw, 3):
            if (timing := timed(inst, solution)) is None:
                continue
            money = float((left_over_kg(inst, timing.used_kg) * inst.material_price).sum())
            assert money == pytest.approx(float(timing.totals[w.LEFTOVER]), abs=1e-2), seed
            paid += money > 0
    assert paid >= 30


def test_no_plan_purges_hot_runners_for_less() -> None:
    """Each tool's runs as plans have them: what its hot runner takes, from run to run wherever it is mounted, is never
    less than the bound."""
    draw, seen = Random(17), Counter[str]()
    for seed in range(60):
        inst, _ = compile_campaign(small(seed))
        if not inst.hot_runner.any() or inst.compound >= 0:
            continue
        least = hot_runner_money(inst)
        for solution in some_plans(inst, draw, 8):
            if (timing := timed(inst, solution)) is None:
                continue
            money = _paid_for_hot_runners(inst, timing)
            assert least <= money + 1e-6, seed
            seen["plans"] += 1
            seen["met"] += least > 0 and least == pytest.approx(money)
            seen["above"] += money > least + 1e-6
    assert min(seen[what] for what in ("plans", "met", "above")) >= 5, seen


def _paid_for_hot_runners(inst: Instance, timing: Timing) -> float:
    """Added up here from what the plan's runs found in their tool."""
    money = 0.0
    for lot in w.lots_in_order(inst, timing):
        run, p = int(inst.lot_run[lot]), int(timing.lots[lot, w.PRESS])
        for b in range(2):
            old, new = int(timing.lots[lot, w.OLD_HOT + b]), int(inst.run_melt[run, b])
            if old >= 0:
                kg = inst.hot_kg[inst.run_tool[run], b, old, new]
                seconds = inst.hot_s[p, b, run, old]
                money += kg * inst.waste_cost_kg[new] + seconds * (inst.press_cost_s[p] + inst.setter_cost_s[p])
    return float(money)


def test_the_shortest_path_is_the_least_of_all_orders() -> None:
    """Against every order of five, walks included; with many runs it is a bound of the same."""
    draw = np.random.default_rng(18)
    for _ in range(30):
        n = int(draw.integers(1, 6))
        cost = draw.integers(0, 50, size=(n + 1, n)).astype(float)
        ways = cost[:n].copy()
        np.fill_diagonal(ways, 0.0)
        for a in range(n):
            ways = np.minimum(ways, ways[:, a, None] + ways[None, a, :])
        start = np.minimum(cost[n], (cost[n][:, None] + ways).min(axis=0))
        best = min(start[o[0]] + sum(ways[i, j] for i, j in pairwise(o)) for o in permutations(range(n)))
        assert shortest_path(cost) == pytest.approx(best)
    n = MOST_RUNS + 2
    places = draw.random((n + 1, 2))
    far = np.linalg.norm(places[:, None] - places[None, :n], axis=2)
    nearest = [0]
    while len(nearest) < n:
        nearest.append(min(set(range(n)) - set(nearest), key=lambda j: far[nearest[-1], j]))
    some_order = far[n, nearest[0]] + sum(far[i, j] for i, j in pairwise(nearest))
    assert 0.0 < shortest_path(far) <= some_order

"""What can leave with a pick-up once the presses are settled, against every order of service."""

from itertools import combinations, permutations
from math import factorial, inf
from typing import Any, NamedTuple

import numpy as np
import pytest

from benchmarks.generator import sized
from planner.control import Unhurried
from planner.demand.items import run_demands
from planner.schedule import timing as w
from planner.schedule.branch_and_bound import exact, pickup_assignment, tables
from planner.schedule.branch_and_bound import path_state as br
from planner.schedule.branch_and_bound.exact import PRECISION, Exact, exhaust
from planner.schedule.branch_and_bound.joint_feasibility import FEASIBLE, INFEASIBLE, UNDECIDED
from planner.schedule.branch_and_bound.lagrangian import FREE, SINCE, TIGHT, WHAT, WORTHS, lagrangian_bound
from planner.schedule.branch_and_bound.pickup_assignment import PickupAssignment
from planner.schedule.branch_and_bound.symmetry import kinds_of
from planner.schedule.branch_and_bound.tables import Tables
from planner.schedule.construct import first_plans
from planner.schedule.encode import compile_campaign
from planner.schedule.instance import Floats, Instance, Ints, packed_instance
from planner.schedule.jit import entry
from planner.schedule.packed import pack
from planner.schedule.solution import Solution, objective_of
from planner.schedule.timing import timing_for
from tests.planner.schedule.brute_force import brute_force, every_sequence, is_the_best
from tests.planner.schedule.test_proof_by_brute_force import small_and_late

MOST_PLANS = 150
SEEDS = (12, 24, 40, 41, 43, 48, 54, 57, 59, 62, 63, 70, 71, 75, 80, 81, 84, 85, 89, 91)
"""Of the first hundred, those whose campaigns have few enough plans."""


def _instances(number: int) -> list[tuple[int, Instance]]:
    """Several batches, few enough plans for the plain twin."""
    found: list[tuple[int, Instance]] = []
    for seed in SEEDS[:number]:
        campaign = small_and_late(seed)
        if campaign is None or len(run_demands(campaign)) > 5:
            continue
        inst, _ = compile_campaign(campaign)
        if not 2 <= inst.lot_run.size <= 5 or not 2 <= inst.batch_work.size <= 4:
            continue
        if len(every_sequence(inst)) * factorial(inst.batch_work.size) <= MOST_PLANS:
            found.append((seed, inst))
    assert len(found) == number
    return found


def _service(inst: Instance) -> tuple[PickupAssignment, Solution] | None:
    arrays, timing = packed_instance(inst), timing_for(inst)
    plans = first_plans(inst, arrays, timing)
    if not plans:
        return None
    room = Tables(inst, arrays, kinds_of(inst))
    return PickupAssignment(inst, arrays, timing, room.penalty, room.hours), plans[-1][1]


def test_where_too_many_choices_are_looked_at_it_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    """Then nothing is said but that lateness costs no less than nothing."""
    _, inst = _instances(1)[0]
    both = _service(inst)
    assert both is not None
    service, solution = both
    sent = np.zeros(inst.batch_work.size, dtype=np.int64)
    least, _ = service.cheapest(sent, solution.order, inf)
    looked = service.choices
    monkeypatch.setattr(pickup_assignment, "MOST_CHOICES", looked)
    assert service.cheapest(sent, solution.order, inf) == (0.0, None)
    monkeypatch.setattr(pickup_assignment, "MOST_CHOICES", looked + 1)
    again, order = service.cheapest(sent, solution.order, inf)
    assert (again, order is not None) == (least, True)


def test_what_is_called_apart_leaves_together_in_no_order_of_service() -> None:
    """Every set of batches, every pick-up: if some order of service does it, it is not called apart; the order found
    for those that are together is one of them nearly always."""
    said = {INFEASIBLE: 0, FEASIBLE: 0}
    done = 0
    for _, inst in _instances(20):
        both = _service(inst)
        if both is None:
            continue
        service, solution = both
        batches = list(range(inst.batch_work.size))
        gone: list[tuple[tuple[int, ...], Ints]] = []
        for order in permutations(batches):
            solution.order = np.array(order)
            if objective_of(packed_instance(inst), solution, service.timing) < inf:
                gone.append((order, service.timing.batches[:, w.PICKUP].copy()))
        for size in batches:
            for some in map(list, combinations(batches, size + 1)):
                for k in range(service.pickups):
                    answer, order = service.ask(k, some)
                    possible = [took for took, pickup in gone if (pickup[some] <= k).all()]
                    assert answer != INFEASIBLE or not possible, (some, k)
                    if answer in said:
                        said[answer] += 1
                    if answer == FEASIBLE:
                        done += any([b for b in took if b in some] == order for took in possible)
    assert said[INFEASIBLE] > 40
    assert said[FEASIBLE] > 40
    assert done > 0.8 * said[FEASIBLE], (done, said)


@pytest.mark.parametrize("aim", [(1.0, 0.0, 0.0), (1e-6, 1000.0, 0.0), (1e-4, 50.0, 1000.0)])
def test_leaves_closed_by_pickups_prove_what_trying_every_plan_finds(
    aim: tuple[float, float, float], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without trying all orders of service, for money, for the last dispatch and for waste with a rate a day: nothing
    is proven that the twin beats, no bound lies above its best; without the reasons less of money is proven."""
    monkeypatch.setattr(exact, "MOST_ORDERS_OF", 0)
    proven = {True: 0, False: 0}
    for seed, plain in _instances(14 if aim[0] == 1.0 else 6):
        cost, last, waste = aim
        inst = plain._replace(aim_cost=cost, aim_last=last, aim_waste=waste)
        arrays, timing = packed_instance(inst), timing_for(inst)
        plans = first_plans(inst, arrays, timing)
        if not plans:
            continue
        value, plan = plans[-1]
        best = brute_force(inst)
        for reasons in (True, False):
            with monkeypatch.context() as patch:
                if not reasons:
                    patch.setattr(PickupAssignment, "cheapest", lambda *_: (0.0, None))
                found = exhaust(inst, timing, Exact(plan, value, False), Unhurried())
            assert found.bound <= best + 2 * PRECISION, seed
            assert not found.proven or is_the_best(inst, found.value, found.best, best), seed
            proven[reasons] += found.proven
    assert proven[True] > (proven[False] if cost == 1.0 else 0), proven


def test_press_hours_cut_branches_off() -> None:
    """XS 14, from a plan of 4,637.29: with them a quarter fewer branches."""
    inst, _ = compile_campaign(sized("XS", 14).model_copy(update={"scrap_taken": "known"}))
    nodes = []
    for stretches in (0, tables.MOST_STRETCHES):
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(tables, "MOST_STRETCHES", stretches)
            room = Tables(inst, packed_instance(inst), kinds_of(inst))
        assert room.fill(lambda: False)
        room.marks[br.MOST], room.amounts[br.LIMIT] = 10**6, 4637.301
        while room.branch() != br.FINISHED:
            pass
        nodes.append(int(room.marks[br.NODES]))
    assert nodes[1] < 0.75 * nodes[0], nodes


class Priced(NamedTuple):
    """What prices read of the branching's tables."""

    tight: Floats
    worths: Floats
    sent: Ints
    penalty: Floats
    weight: Floats
    standing: Floats


@entry
def _priced(tables: Any) -> float:
    return lagrangian_bound(tables, 0, 0, tables.tight.shape[0], 1e18)


def test_prices_lie_below_the_best_choice_and_above_each_resource_alone() -> None:
    """Random batches and resources: never above what the cheapest choice of batches leaves out, found by trying all;
    often above what any one resource says."""
    draw = np.random.default_rng(1)
    above = 0
    for _ in range(200):
        batches, number = int(draw.integers(2, 8)), int(draw.integers(1, 5))
        weight = draw.integers(0, 10, (number, batches)) * draw.integers(0, 2, (number, batches)).astype(float)
        worth = draw.integers(0, 20, batches).astype(float)
        free = np.floor(weight.sum(axis=1) * draw.random(number))
        inside = np.array([[(n >> b) & 1 for b in range(batches)] for n in range(1 << batches)], dtype=float)
        allowed = (inside @ weight.T <= free).all(axis=1)
        least = float(((1 - inside) @ worth)[allowed].min())
        penalty = np.stack([np.zeros(batches + 1), np.append(worth, 0.0)], axis=1)

        def bound(
            rows: list[int], weight: Floats = weight, free: Floats = free, penalty: Floats = penalty,
            batches: int = batches,
        ) -> float:  # fmt: skip
            tight = np.zeros((len(rows), TIGHT))
            tight[:, WHAT], tight[:, FREE], tight[:, SINCE] = rows, free[rows], -1.0
            room = np.zeros((WORTHS, batches))
            sent, standing = np.zeros((1, batches), dtype=np.int64), np.zeros((2, 2, batches))
            return float(_priced(pack(Priced(tight, room, sent, penalty, weight, standing))))

        together = bound(list(range(number)))
        assert together <= least + 1e-9
        alone = max(bound([n]) for n in range(number))
        above += together > alone + 1e-9
    assert above > 40


def test_a_question_cut_into_pieces_has_the_same_answer() -> None:
    """XS 26, its first plan: batches by ever later pick-ups, asked at once and one step at a time."""
    inst, _ = compile_campaign(sized("XS", 26))
    both = _service(inst)
    assert both is not None
    at_once, solution = both
    objective_of(packed_instance(inst), solution, at_once.timing)
    answers = []
    for k in range(at_once.pickups):
        for some in ([19, 6, 9], list(range(6)), list(range(12))):
            whole = at_once.said(k, some, 10**6, *at_once.long[1:])
            said = at_once.said(k, some, 7, *at_once.long[1:])
            pieces = 1
            while said == UNDECIDED and pieces < 10**5:
                said = at_once.said(k, some, 7, *at_once.long[1:], anew=False)
                pieces += 1
            assert said == whole
            answers.append((said, pieces > 1))
    assert {(INFEASIBLE, True), (FEASIBLE, True)} <= set(answers), answers

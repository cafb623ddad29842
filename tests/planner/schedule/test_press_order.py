"""The order of the only press by itself: what it is read off from, its prices, and what it finds."""

from itertools import permutations

import numpy as np
import pytest

from benchmarks.generator import sized
from benchmarks.plain_workshop import least_completion, least_lateness, workshop
from planner.control import Unhurried
from planner.schedule import reordering
from planner.schedule.annealing import BEST as BEST_PLAN
from planner.schedule.chain import Chain
from planner.schedule.delta_tables import delta_tables_for
from planner.schedule.encode import compile_campaign
from planner.schedule.instance import Instance, packed_instance
from planner.schedule.press_order import BEST, PressOrder
from planner.schedule.reordering import Reordering
from planner.schedule.search import Budget, search
from planner.schedule.solution import Solution, objective_of
from planner.schedule.timing import timing_for


def machine(jobs: int, seed: int) -> Instance:
    """One machine with set-ups, weighted tardiness: times, weights, dates and set-ups drawn."""
    draw = np.random.default_rng(seed)
    return least_lateness(
        workshop(
            [draw.integers(5, 40, jobs).tolist()], setups=[draw.integers(0, 30, (jobs, jobs)).tolist()],
            first=[draw.integers(0, 30, jobs).tolist()], due=draw.integers(10, 30 * jobs, jobs).tolist(),
            late=draw.integers(1, 10, jobs).tolist(),
        )
    )  # fmt: skip


def chain(inst: Instance, first: Solution) -> Chain:
    """Where it stands, its estimate is taken of that plan."""
    value = objective_of(packed_instance(inst), first, timing_for(inst))
    chain = Chain(inst, packed_instance(inst), first, value, delta_tables_for(inst, 1e6), 1)
    chain.anneal(1, 1e-9, 1e-9)
    return chain


def in_order(inst: Instance, lots: list[int]) -> Solution:
    solution = Solution.empty(inst)
    for lot in lots:
        solution.append(0, lot)
    return solution


def plainly(order: PressOrder, lots: list[int]) -> float:
    """What an order costs, a lot after the other."""
    x, behind, total = order.ends[len(lots)], len(lots), 0.0
    for lot in lots:
        x += order.costs.seconds[behind, lot] + order.costs.own[lot]
        total += order.costs.money[behind, lot]
        for k in range(order.costs.ptr[lot], order.costs.ptr[lot + 1]):
            total += max(0.0, x - order.costs.at[k]) * order.costs.by[k]
        behind = lot
    return float(total)


@pytest.mark.parametrize("seed", range(4))
def test_on_one_machine_the_costs_read_off_are_exact(seed: int) -> None:
    """Any order against any other: as much dearer by what was read off as by the exact evaluator."""
    inst = machine(9, seed)
    here = chain(inst, in_order(inst, list(range(9)))).here
    begun = chain(inst, here)
    step = begun.reordering
    assert step is not None
    step.go_on(begun.here, 0)
    assert step.order is not None
    laid = np.array(begun.here.lots()[0])
    offset = objective_of(packed_instance(inst), begun.here, timing_for(inst)) - plainly(step.order, list(range(9)))
    draw = np.random.default_rng(seed)
    values = set()
    for _ in range(50):
        order = draw.permutation(9)
        exact = objective_of(packed_instance(inst), in_order(inst, laid[order].tolist()), timing_for(inst))
        assert plainly(step.order, order.tolist()) + offset == pytest.approx(exact, abs=1e-6)
        values.add(exact)
    assert len(values) > 40


@pytest.mark.parametrize("seed", range(3))
def test_the_best_of_all_orders_is_found(seed: int) -> None:
    """Against every order of seven jobs; and what it says of its best is what that costs."""
    inst = machine(7, seed)
    begun = chain(inst, in_order(inst, list(range(7))))
    found = begun.reordering.go_on(begun.here, 200_000) if begun.reordering else None
    best = min(
        objective_of(packed_instance(inst), in_order(inst, list(p)), timing_for(inst)) for p in permutations(range(7))
    )
    assert begun.reordering is not None
    assert begun.reordering.order is not None
    order = begun.reordering.order
    assert plainly(order, order.best.tolist()) == pytest.approx(order.values[BEST], abs=1e-6)
    assert found is not None
    assert objective_of(packed_instance(inst), found, timing_for(inst)) == pytest.approx(best, abs=1e-6)


def test_weighted_completion_is_smiths_rule() -> None:
    """Shortest weighted processing time first is optimal without set-ups (W. E. Smith, Naval Research Logistics
    Quarterly 3, 1956)."""
    draw = np.random.default_rng(5)
    times, weights = draw.integers(1, 50, 30), draw.integers(1, 10, 30)
    inst = least_completion(workshop([times.tolist()], weights=weights.tolist()))
    smith = sorted(range(30), key=lambda j: times[j] / weights[j])
    least = sum(w * c for w, c in zip(weights[smith], np.cumsum(times[smith]), strict=True))
    begun = chain(inst, in_order(inst, list(range(30))))
    assert begun.reordering is not None
    assert begun.values[BEST_PLAN] > 1.2 * least
    found = begun.reordering.go_on(begun.here, 1_000_000)
    assert found is not None
    assert objective_of(packed_instance(inst), found, timing_for(inst)) == pytest.approx(least)


def test_pinned_lots_stay_at_the_head() -> None:
    inst = machine(9, 3)._replace(pinned=np.array([2]))
    begun = chain(inst, in_order(inst, list(range(9))))
    assert begun.reordering is not None
    found = begun.reordering.go_on(begun.here, 100_000)
    assert found is not None
    assert found.lots()[0][:2] == [0, 1]
    assert sorted(found.lots()[0]) == list(range(9))


def test_it_begins_anew_from_a_random_order_once_nothing_gains(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reordering, "PATIENCE", 5)
    inst = machine(9, 1)
    begun = chain(inst, in_order(inst, list(range(9))))
    step = begun.reordering
    assert step is not None
    for _ in range(40):
        step.go_on(begun.here, 20_000)
    assert step.begun > 10


def test_where_there_are_more_presses_it_is_left_out() -> None:
    inst, _ = compile_campaign(sized("XS", 1))
    assert inst.restart_s.size == 2
    assert chain(inst, Solution.empty(inst)).reordering is None


def test_leaving_it_out_costs(monkeypatch: pytest.MonkeyPatch) -> None:
    """Forty jobs, a budget of rounds: what the chain alone finds is later."""
    inst = machine(40, 2)
    found = search(inst, Budget(8, 1, 0.0, bound_effort=0.0), Unhurried()).objective
    monkeypatch.setattr(Reordering, "go_on", lambda *_: None)
    assert found < search(inst, Budget(8, 1, 0.0, bound_effort=0.0), Unhurried()).objective * 0.98

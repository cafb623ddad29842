"""The bound by dates in whole numbers, of all plans and of those that split a demand: no plan undercuts it."""

from itertools import islice, pairwise, permutations
from math import inf

import numpy as np
import pytest
from ortools.sat.python import cp_model

from benchmarks.generator import sized
from planner.control import Unhurried
from planner.schedule import timing as w
from planner.schedule.bounds.changeovers import least_changeovers
from planner.schedule.bounds.dated_paths import DatedPaths
from planner.schedule.bounds.earliest import earliest_dispatch
from planner.schedule.bounds.in_order import in_order
from planner.schedule.bounds.lower_bound import paid_anyway
from planner.schedule.bounds.lp_rows import Rows
from planner.schedule.bounds.pickup_lp import PickupLp
from planner.schedule.bounds.split_demands import apart_only_in_time, least_when_split, whole_demands
from planner.schedule.encode import compile_campaign
from planner.schedule.instance import Instance, packed_instance
from planner.schedule.lot_sizes import cut, may_be_cut
from planner.schedule.search import WHOLE_PLANS, Budget, NoPlan, search
from planner.schedule.solution import Solution, objective_of
from planner.schedule.timing import timing_for
from tests.planner.schedule.brute_force import every_sequence, small_instance, tiny_instances
from tests.support.sampled import sampled


def entered_twice(inst: Instance, sequences: list[list[int]]) -> bool:
    """Whether some demand stands in more than one place."""
    entries = np.zeros(inst.run_tool.size, dtype=np.int64)
    for lots in sequences:
        runs = inst.lot_run[lots].tolist()
        for before, after in pairwise([-1, *runs]):
            entries[after] += before != after
    return bool((entries > 1).any())


def least_of(inst: Instance, split: bool) -> float:
    """Money of the cheapest plan gone through that splits a demand, or of any."""
    best, arrays, timing = inf, packed_instance(inst), timing_for(inst)
    for sequences in every_sequence(inst):
        if split and not entered_twice(inst, sequences):
            continue
        solution = Solution.empty(inst)
        for p, lots in enumerate(sequences):
            for lot in lots:
                solution.append(p, lot)
        for order in permutations(range(inst.batch_work.size)):
            solution.order = np.array(order, dtype=np.int64)
            if objective_of(arrays, solution, timing) < inf:
                best = min(best, float(timing.totals[w.COST]))
    return best


def test_no_plan_is_cheaper_and_none_that_splits_a_demand() -> None:
    """Tiny campaigns with their largest demand cut in two, in three ways: each plan gone through."""
    checked = near = 0
    for seed, inst in islice(tiny_instances(), 60):
        if inst.lot_run.size > 3 or inst.pinned.any() or inst.batch_work.size > 3:
            continue
        run = int(inst.run_shots.argmax())
        shots = int(inst.run_shots[run])
        if shots < 4:
            continue
        free = inst._replace(run_smallest=np.where(np.arange(inst.run_tool.size) == run, 1, 0))
        paid = paid_anyway(free)
        least = least_changeovers(paid)
        of_all = DatedPaths(paid, least, earliest_dispatch(paid, least)).least_money(2.0, cp_model.CpSolver())
        of_all += paid.fixed_cost
        ordered = paths_in_order(paid).least_money(2.0, cp_model.CpSolver()) + paid.fixed_cost
        assert ordered >= of_all - 1e-6, seed
        split = least_when_split(paid, 2.0, cp_model.CpSolver())
        assert of_all <= split + 1e-6, seed
        for first in (1, shots // 2, shots - 1):
            in_two = cut(free, run, [first, shots - first])
            best = least_of(in_two, split=True)
            assert split <= best + 1e-3, (seed, first)
            assert ordered <= least_of(in_two, split=False) + 1e-3, (seed, first)
            near += best < inf and split >= 0.97 * best
            checked += best < inf
    assert checked >= 20, checked
    assert near >= 5, near


def paths_in_order(paid: Instance) -> DatedPaths:
    """The model with what is made in the order of the paths. paid: the instance as bounds see it."""
    least = least_changeovers(paid)
    paths = DatedPaths(paid, least, earliest_dispatch(paid, least))
    in_order(paths)
    return paths


def test_what_is_made_by_a_date_is_made_in_the_order_of_the_path() -> None:
    """Tiny campaigns, lots as they are, each plan gone through: none is cheaper than what the order of paths adds."""
    checked = 0
    for seed, inst in islice(tiny_instances(), 60):
        if inst.lot_run.size > 4 or inst.batch_work.size > 3:
            continue
        paid = paid_anyway(inst)
        ordered = paths_in_order(paid).least_money(2.0, cp_model.CpSolver())
        assert ordered <= least_of(inst, split=False) - paid.fixed_cost + 1e-3, seed
        checked += 1
    assert checked >= 20, checked


def test_the_order_of_the_paths_lifts_the_bound() -> None:
    """Of ten runs on two presses by 49 of 4,360, and the search finds nothing below it."""
    inst, _ = compile_campaign(sized("XS", 5))
    paid = paid_anyway(inst)
    least = least_changeovers(paid)
    without = DatedPaths(paid, least, earliest_dispatch(paid, least)).least_money(2.0, cp_model.CpSolver())
    ordered = paths_in_order(paid).least_money(2.0, cp_model.CpSolver())
    assert ordered > without + 40.0
    found = search(inst, Budget(6, 1, 0.0, bound_effort=0.0), Unhurried())
    assert paid.fixed_cost + ordered <= found.cost + 1e-3


def test_whole_numbers_are_never_below_the_programme_by_dates() -> None:
    """It has all the programme's rows and more; on ten runs it is above."""
    for seed in (1, 2, 8):
        inst = paid_anyway(compile_campaign(sized("XS", seed))[0])
        least = least_changeovers(inst)
        earliest = earliest_dispatch(inst, least)
        linear = PickupLp(inst, least, earliest, Rows()).least_money(60.0)
        whole = DatedPaths(inst, least, earliest).least_money(3.0, cp_model.CpSolver())
        assert linear is not None
        assert whole > linear + 10.0, seed


@pytest.mark.parametrize("seed", sampled([6, 8, 11], 2))
def test_campaigns_whose_lots_may_be_cut_anyhow_are_proven(seed: int) -> None:
    """Ten runs, one to four of which may be cut in thousands of ways: proven, and more search finds nothing cheaper."""
    inst, _ = compile_campaign(sized("XS", seed))
    assert may_be_cut(inst).size >= 1
    found = search(inst, Budget(10, seed, 0.0), Unhurried())
    assert found.ended == "proven"
    assert found.cost - found.bound <= 0.0101
    longer = search(inst, Budget(12, seed + 1, 0.0), Unhurried())
    assert longer.cost >= found.cost - 0.011


def test_plans_that_split_and_plans_that_do_not_have_a_bound_together_where_it_proves_nothing() -> None:
    """Ten runs, two of which may be cut: whole demands are closed, and what splits one may cost 6.51 less."""
    inst, _ = compile_campaign(sized("XS", 15))
    split = least_when_split(paid_anyway(inst), 5.0, cp_model.CpSolver())
    found = search(inst, Budget(5, 15, 0.0, bound_effort=0.0), Unhurried())
    assert found.ended != "proven"
    assert split < found.cost - 1.0
    assert found.bound == pytest.approx(split)
    assert found.bound_basis == WHOLE_PLANS


def test_whole_demands_do_only_where_nothing_but_time_lies_between_lots() -> None:
    """Openings of unequal lengths, dryers, charges, material that comes in parts: then more could lie between them."""
    inst, _ = compile_campaign(sized("XS", 8))
    assert apart_only_in_time(inst)
    assert whole_demands(inst).lot_run.size == inst.run_tool.size
    a = int(inst.open_ptr[0])
    shorter = inst.open_end.copy()
    shorter[a + 2] -= 3600
    resin = int(inst.melt_resin[inst.run_melt[may_be_cut(inst)[0], 0]])
    little = inst.supply_kg.copy()
    little[inst.supply_ptr[resin]] = 3.0
    for other in (
        inst._replace(open_end=shorter),
        inst._replace(supply_kg=little),
        inst._replace(charging=1),
        inst._replace(dryers=1),
        inst._replace(hands_end=inst.open_end - 60),
    ):
        assert not apart_only_in_time(other)


def test_campaigns_of_other_kinds_are_bounded_too() -> None:
    """Small campaigns with hot runners, stock, clock changes, lots: a search finds nothing below the bound."""
    checked = 0
    for seed in range(30, 36):
        inst = small_instance(seed)
        found_cost = _cheapest(inst, seed)
        if found_cost is None:
            continue
        paid = paid_anyway(inst)
        least = least_changeovers(paid)
        money = DatedPaths(paid, least, earliest_dispatch(paid, least)).least_money(0.3, cp_model.CpSolver())
        assert paid.fixed_cost + money <= found_cost + 1e-6, seed
        checked += 1
    assert checked >= 4


def _cheapest(inst: Instance, seed: int) -> float | None:
    try:
        return search(inst, Budget(1, seed, 0.0, bound_effort=0.0), Unhurried()).cost
    except NoPlan:
        return None

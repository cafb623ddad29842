"""Build or load the compiled part before the first campaign comes: a worker calls `warm` at its start."""

from collections.abc import Callable

import numpy as np

from planner.schedule.branch_and_bound.path_state import LIMIT, MOST
from planner.schedule.branch_and_bound.pickup_assignment import warm_pickup_assignment
from planner.schedule.branch_and_bound.symmetry import kinds_if_few
from planner.schedule.branch_and_bound.tables import Tables
from planner.schedule.delta_tables import delta_tables_for
from planner.schedule.evening_out import EveningOut
from planner.schedule.expected.chain import MeanChain
from planner.schedule.expected.replicate import replicated
from planner.schedule.expected.scenarios import Scenarios
from planner.schedule.instance import Instance, packed_instance
from planner.schedule.jit import told_of_building
from planner.schedule.reordering import Reordering
from planner.schedule.solution import Solution, objective_of
from planner.schedule.timing import timing_for


def warm(building: Callable[[], None] = lambda: None) -> None:
    """Plan the smallest campaign there is. Built at the first call ever, read from the cache at later ones.

    building: called once where something must be built, which takes a minute or two on a slow machine.
    """
    with told_of_building(building):
        warm_plans()
        warm_proofs()


def warm_plans() -> None:
    """What times a plan, searches, and follows a plan through scenarios: most of their functions are the same."""
    inst = smallest_instance()
    only = _only_plan(inst)
    objective_of(packed_instance(inst), only, timing_for(inst))
    # scenarios are followed apart from the search
    replicated(inst, only, Scenarios(1))
    MeanChain(inst, only, Scenarios(1), 1e9, 1.0, 0, "as planned").go_on(1, 1.0, 0.5)


def warm_proofs() -> None:
    """What goes through all plans, and what goes beside the search: nothing of it needs `warm_plans`, so that two
    processes can build the two at one time."""
    inst = smallest_instance()
    arrays, timing, only = packed_instance(inst), timing_for(inst), _only_plan(inst)
    timing.links[:] = -1  # no lot makes anything: that is a plan, too
    inst = inst._replace(lot_release=np.zeros(1, dtype=np.int64))
    kinds = kinds_if_few(inst)
    assert kinds is not None
    tables = Tables(inst, packed_instance(inst), kinds)
    tables.fill(lambda: False)
    tables.marks[MOST], tables.amounts[LIMIT] = 1, np.inf
    tables.branch()
    warm_pickup_assignment(inst, arrays, timing)
    delta = delta_tables_for(inst, 1.0)
    Reordering(inst, arrays, delta, 0).go_on(only, 1)
    EveningOut(inst, arrays, delta, 0).go_on(only, 1)


def _only_plan(inst: Instance) -> Solution:
    """Of the smallest campaign."""
    only = Solution.empty(inst)
    only.append(0, 0)
    return only


def smallest_instance() -> Instance:
    """One press, one tool, one run of one shot, one parcel."""
    none = np.zeros(0, dtype=np.int64)
    zero, one = np.zeros(1, dtype=np.int64), np.ones(1, dtype=np.int64)
    far = np.array([10_000], dtype=np.int64)
    price = np.zeros(1)
    return Instance(
        open_ptr=np.array([0, 1]), open_start=zero, open_end=far, restart_s=zero, press_cost_s=np.ones(1),
        press_tool=zero - 1, press_melt=np.full((1, 2), -1), pinned=zero,
        run_tool=zero, run_melt=np.array([[0, -1]]), run_shots=one, fits=np.ones((1, 1), dtype=np.bool_),
        clash=np.zeros((1, 1), dtype=np.bool_), shot_num=one.reshape(1, 1), shot_den=one.reshape(1, 1),
        startup_shots=zero, startup_s=zero.reshape(1, 1), shot_kg=np.zeros((1, 2)), lot_run=zero, lot_shots=one,
        setters=1, setter_cost_s=price, mount_s=zero, tool_ready=zero,
        purge_s=np.zeros((1, 2, 1, 1), dtype=np.int64), purge_kg=np.zeros((1, 2, 1, 1)),
        hot_s=np.zeros((1, 2, 1, 1), dtype=np.int64), hot_kg=np.zeros((1, 2, 1, 1)),
        hot_runner=np.zeros((1, 2), dtype=np.bool_), waste_cost_kg=price,
        melt_light=price, melt_resin=zero,
        melt_master=zero - 1, melt_master_share=price, supply_ptr=np.array([0, 1]), supply_t=zero,
        supply_kg=np.array([np.inf]), material_have=price, material_regrind=price, bag_kg=np.ones(1),
        min_order_kg=price, material_price=price,
        good_run=zero, good_stock=zero, good_need=one, good_count_shots=one, good_rest_s=zero,
        piece_ptr=np.array([0, 0]), piece_t=none, piece_count=none,
        asm_start=zero, asm_end=far, asm_people=one, pack_start=zero, pack_end=far, pack_people=one,
        job_ptr=np.array([0, 1]), job_work=zero, job_need_ptr=np.array([0, 1]), job_good=zero, job_qty=one,
        batch_work=zero, batch_parcels=one, batch_due=one, batch_late_cost=price, batch_weight=np.ones(1),
        batch_need_ptr=np.array([0, 0]), batch_good=none, batch_qty=none,
        pickup_t=far, pickup_day=zero, pickup_parcels=1,
        fixed_cost=0.0, aim_cost=1.0, aim_last=0.0, aim_mean=0.0, aim_waste=0.0,
    )  # fmt: skip

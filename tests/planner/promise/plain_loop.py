"""Scenarios followed one by one in plain Python: a slow twin of `planner/schedule/expected`, for tests and benchmarks.

Each scenario's arrays are written anew with NumPy, then timed by a call of its own; the bench's rule is written out as
it is said: what is complete later than planned falls behind what is complete sooner.
"""

from typing import Any

import numpy as np

from planner.schedule import timing as w
from planner.schedule.expected.scenarios import FINENESS, Scenarios
from planner.schedule.instance import NEVER, Instance, packed_instance
from planner.schedule.solution import Solution, objective_of
from planner.schedule.timing import Timing, timing_for
from tests.planner.promise.plain_again import begins_of, in_its_way, planned_again


def in_scenario(inst: Instance, scenarios: Scenarios, k: int, last_lot: list[int]) -> Instance:
    """The instance as it is in scenario k."""
    out: dict[str, Any] = {}
    if len(scenarios.ready):
        out["tool_ready"] = scenarios.ready[k]
    if len(scenarios.cycle):
        rate = scenarios.cycle[k][None, :] / scenarios.press[k][:, None]
        out["shot_num"] = np.rint(inst.shot_num.astype(float) * FINENESS * rate).astype(np.int64)
        out["shot_den"] = inst.shot_den * FINENESS
        out["startup_s"] = np.ceil(out["shot_num"] * inst.startup_shots / out["shot_den"]).astype(np.int64)
    if len(scenarios.run_shots):
        out["good_count_shots"] = scenarios.counting[k]
        out["lot_shots"] = inst.lot_shots.copy()
        for run, lot in enumerate(last_lot):
            out["lot_shots"][lot] += scenarios.run_shots[k, run] - inst.run_shots[run]
    for steps, owner, late in (
        ("supply_t", inst.supply_ptr, scenarios.supply_s),
        ("piece_t", inst.piece_ptr, scenarios.piece_s),
    ):
        if len(late):
            moments = getattr(inst, steps).copy()
            for n in range(len(owner) - 1):
                for step in range(owner[n] + 1, owner[n + 1]):  # what is in hand does not move
                    moments[step] = max(0, moments[step] + late[k, n])
            out[steps] = moments
    if len(scenarios.mount):
        out["mount_s"] = np.rint(inst.mount_s * scenarios.mount[k]).astype(np.int64)
    if len(scenarios.purge):
        for way in ("purge_s", "hot_s", "compound_s", "hot_compound_s"):
            if getattr(inst, way).size:
                share = scenarios.purge[k][:, None, None, None]
                out[way] = np.rint(getattr(inst, way) * share).astype(np.int64)
    if len(scenarios.assembly):
        out["job_work"] = np.ceil(inst.job_work * scenarios.assembly[k]).astype(np.int64)
    if len(scenarios.packing):
        out["batch_work"] = np.ceil(inst.batch_work * scenarios.packing[k]).astype(np.int64)
    if len(scenarios.carrier):
        out["pickup_day"] = inst.pickup_day + scenarios.carrier[k]
    return inst._replace(**out)


def plain_replications(
    inst: Instance, solution: Solution, scenarios: Scenarios, to_the_letter: bool, again: bool = False
) -> list[tuple[float, int, int]]:
    """In each scenario: money, and the seconds at which the last run ends and the last batch is packed. again: whether
    it is planned again wherever a tool is late."""
    timing = timing_for(inst)
    assert objective_of(packed_instance(inst), solution, timing) < np.inf
    last_lot = [0] * inst.run_tool.size
    for lot in np.argsort(timing.lots[:, w.END], kind="stable"):
        last_lot[inst.lot_run[lot]] = lot
    planned, begin = _complete(inst, timing), begins_of(inst, timing)
    found = []
    for k in range(scenarios.number):
        own = in_scenario(inst, scenarios, k, last_lot)
        if again:
            own, plan = in_its_way(own, *planned_again(inst, own, solution, begin, scenarios.ready), solution)
        else:
            plan = solution
        timing = timing_for(own)
        value = objective_of(packed_instance(own), plan, timing)
        if value < np.inf and not to_the_letter:
            value, timing = _taking_what_is_there(own, plan, timing, planned)
        if not value < np.inf:
            found.append((np.inf, NEVER, NEVER))
            continue
        money = float(timing.totals[w.COST]) + (scenarios.extra_cost[k] if len(scenarios.extra_cost) else 0.0)
        found.append((money, int(timing.lots[:, w.END].max()), int(timing.batches[:, w.ENDED].max())))
    return found


def _taking_what_is_there(
    own: Instance, solution: Solution, timing: Timing, planned: list[int]
) -> tuple[float, Timing]:
    """Parts handed out to those complete first; benches still serve, of what is complete, the planned order."""
    complete = _complete(own, timing)
    latest, keys = 0, {}
    for b in solution.order:
        late = complete[b] > planned[b]
        latest = latest if late else max(latest, complete[b])
        keys[b] = complete[b] if late else latest
    handed = solution.copy()
    handed.order[:] = sorted(solution.order, key=lambda b: keys[b])
    told = timing_for(own)
    objective_of(packed_instance(own), handed, told)
    # served in the planned order: every need is met at the moment it was handed out for
    met = _as_pieces(own, told)
    timing = timing_for(met)
    return objective_of(packed_instance(met), solution, timing), timing


def _complete(inst: Instance, timing: Timing) -> list[int]:
    found = []
    needs = inst.job_good.size
    for b in range(inst.batch_work.size):
        own = range(inst.job_need_ptr[inst.job_ptr[b]], inst.job_need_ptr[inst.job_ptr[b + 1]])
        packed = range(inst.batch_need_ptr[b], inst.batch_need_ptr[b + 1])
        moments = [int(timing.moments[i]) for i in own] + [int(timing.needs[needs + i]) for i in packed]
        found.append(min(max(moments, default=0), NEVER))
    return found


def _as_pieces(inst: Instance, timing: Timing) -> Instance:
    """The instance in which every need is a bought-in piece of its own that comes when the timing has it met."""
    moments = [*timing.moments.tolist(), *timing.needs[inst.job_good.size :].tolist()]
    count, jobs = len(moments), inst.job_good.size
    goods = np.arange(count, dtype=np.int64)
    none, one = np.zeros(count, dtype=np.int64), np.ones(count, dtype=np.int64)
    return inst._replace(
        several=0, first_source=none, last_source=none,
        good_run=none - 1, good_stock=none, good_need=one, good_count_shots=one, good_rest_s=none,
        piece_ptr=np.arange(count + 1, dtype=np.int64), piece_t=np.array(moments, dtype=np.int64),
        piece_count=np.full(count, NEVER, dtype=np.int64),
        job_good=goods[:jobs], batch_good=goods[jobs:],
    )  # fmt: skip

"""A plan followed through one scenario: presses in their order, taking what is ready or planning again, benches taking
what is there.

What the workshop does about it is decided by what is known at the time. A press: see `press_decoder.take_ready` and
`again.py`. A bench: a batch whose parts and pieces come later than planned falls behind those that are complete sooner,
so that no tier waits for a tool it does not use; the others keep the planned order of service.
"""

from typing import NamedTuple

import numpy as np

from planner.schedule import timing as w
from planner.schedule.bench_decoder import run_benches
from planner.schedule.bench_parts import allot
from planner.schedule.evaluate import objective, press_objective
from planner.schedule.expected.again import Again, run_again
from planner.schedule.expected.planned import Planned, hand_out
from planner.schedule.expected.scenarios import Scenarios, write_scenario
from planner.schedule.instance import NEVER, Instance, Ints
from planner.schedule.jit import inner
from planner.schedule.natural_merge_sort import sort_by_key
from planner.schedule.press_decoder import run_presses
from planner.schedule.sequences import Sequences, copy_order, copy_presses
from planner.schedule.timing import Timing


class Recourse(NamedTuple):
    """What a plan is followed with through scenarios."""

    own: Instance  # as a scenario has it, written anew for each
    scenarios: Scenarios
    timing: Timing  # in a scenario
    likely: Timing  # as planned; may be the same one, for who asks for neither once the other is written
    planned: Planned
    again: Again
    plans_again: Ints  # (1) 1: whenever a tool is late, the rest is planned again


@inner
def as_planned(inst: Instance, timing: Timing, plan: Sequences, planned: Planned) -> float:
    """Time the plan as planned and note what its recourse goes by; its objective, inf if it cannot be carried out."""
    if not run_presses(inst, plan, timing):
        return np.inf
    lots = timing.lots
    for lot in range(planned.begin.size):
        opened = timing.pieces[lots[lot, w.FIRST_PIECE], w.OPENED]
        planned.begin[lot] = min(lots[lot, w.CO_START], opened)
    for run in range(planned.last_lot.size):
        planned.last_lot[run] = -1
    for lot in range(planned.begin.size):
        run = inst.lot_run[lot]
        last = planned.last_lot[run]
        if last < 0 or lots[lot, w.END] >= lots[last, w.END]:
            planned.last_lot[run] = lot
    press_objective(inst, timing.totals)
    hand_out(inst, timing, plan.order)
    _completed(inst, timing, planned.there)
    if not run_benches(inst, timing):
        return np.inf
    return float(objective(inst, timing.totals))


@inner
def through(inst: Instance, recourse: Recourse, k: int, plan: Sequences) -> float:
    """Follow the plan through scenario k: its objective there, inf if it cannot be carried out.

    recourse: what was planned as `as_planned` left it. totals[COST] is without what comes on top whatever the order.
    """
    own, scenarios, timing, planned = recourse.own, recourse.scenarios, recourse.timing, recourse.planned
    write_scenario(inst, own, scenarios, k, planned.last_lot)
    copy_presses(planned.now, plan)
    copy_order(planned.now, plan)
    if recourse.plans_again[0] != 0:
        if not run_again(inst, own, scenarios, timing, planned, recourse.again):
            return np.inf
    elif not run_presses(own, planned.now, timing):
        return np.inf
    press_objective(own, timing.totals)
    hand_out(own, timing, plan.order)
    if planned.to_the_letter[0] == 0:
        _completed(own, timing, planned.complete)
        if _served_as_complete(planned):
            allot(own, timing, plan.order, planned.now.order, False)
            _ranked(own, timing, plan.order)
    if not run_benches(own, timing):
        return np.inf
    return float(objective(own, timing.totals))


@inner
def _ranked(inst: Instance, timing: Timing, order: Ints) -> None:
    """Of what is complete, benches serve first what stands first in this order, whoever was handed parts first."""
    ranked = 0
    for n in range(order.size):
        b = order[n]
        timing.queues[w.BATCH_RANK, b] = n
        for job in range(inst.job_ptr[b], inst.job_ptr[b + 1]):
            timing.queues[w.JOB_RANK, job] = ranked
            ranked += 1


@inner
def _completed(inst: Instance, timing: Timing, there: Ints) -> None:
    """When all parts and pieces of each batch are there, as they are handed out now."""
    jobs_need = inst.job_good.size
    for b in range(there.size):
        complete = 0
        for i in range(inst.job_need_ptr[inst.job_ptr[b]], inst.job_need_ptr[inst.job_ptr[b + 1]]):
            complete = max(complete, timing.moments[i])
        for i in range(inst.batch_need_ptr[b], inst.batch_need_ptr[b + 1]):
            complete = max(complete, timing.needs[jobs_need + i])
        there[b] = min(complete, NEVER)


@inner
def _served_as_complete(planned: Planned) -> bool:
    """Let batches that are complete later than planned fall behind those that are complete sooner; whether any did.

    Those in time keep their order among themselves: each counts as complete with the latest of them before it. Of
    thousands of batches hundreds are late in a scenario: to put in one after the other took a third of it.
    """
    order, key = planned.now.order, planned.key
    latest = 0
    any_late = False
    for n in range(order.size):
        b = order[n]
        if planned.complete[b] > planned.there[b]:
            key[b] = planned.complete[b]
            any_late = True
        else:
            latest = max(latest, planned.complete[b])
            key[b] = latest
    return any_late and sort_by_key(order, key, planned.buffer)

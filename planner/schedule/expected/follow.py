"""A plan followed through one scenario: presses in their order or taking what is ready, benches taking what is there.

What the workshop does about it is decided by what is known at the time. A press: see `press_decoder.take_ready`. A
bench: a batch whose parts and pieces come later than planned falls behind those that are complete sooner, so that no
tier waits for a tool it does not use; the others keep the planned order of service.
"""

from typing import NamedTuple

import numpy as np

from planner.schedule import timing as w
from planner.schedule.bench_decoder import run_benches
from planner.schedule.bench_parts import allot, refresh
from planner.schedule.evaluate import objective, press_objective
from planner.schedule.expected.scenarios import Scenarios, write_scenario
from planner.schedule.instance import NEVER, Instance, Ints
from planner.schedule.jit import inner
from planner.schedule.packed import pack
from planner.schedule.press_decoder import run_presses
from planner.schedule.sequences import Sequences, copy_order, copy_presses
from planner.schedule.timing import Timing


class Planned(NamedTuple):
    """What a plan is, as planned, that its following goes by, and room for a scenario's own order."""

    begin: Ints  # (J) when each lot begins, its changeover included
    last_lot: Ints  # (R) the lot of each demand that ends last
    there: Ints  # (B) when all parts and pieces of each batch are there
    to_the_letter: Ints  # (1) 1: benches keep the order of service too
    now: Sequences  # the scenario's own order
    complete: Ints  # (B) room: when all parts and pieces are there in the scenario
    key: Ints  # (B) room


class Following(NamedTuple):
    """What a plan is followed with through scenarios."""

    own: Instance  # as a scenario has it, written anew for each
    scenarios: Scenarios
    timing: Timing  # in a scenario
    planned: Planned


def planned_for(inst: Instance, to_the_letter: bool = False) -> Planned:
    """Room for what `as_planned` fills."""
    presses, lots, batches = inst.restart_s.size, inst.lot_run.size, inst.batch_work.size

    def zeros(*shape: int) -> Ints:
        return np.zeros(shape, dtype=np.int64)

    now = pack(Sequences(zeros(presses, lots), zeros(presses), zeros(batches)))
    letter = zeros(1) + int(to_the_letter)
    return pack(
        Planned(
            zeros(lots), zeros(inst.run_tool.size), zeros(batches), letter, now, zeros(batches), zeros(batches)
        )
    )  # fmt: skip


@inner
def as_planned(inst: Instance, timing: Timing, plan: Sequences, planned: Planned) -> float:
    """Time the plan as planned and note what its following goes by; its objective, inf if it cannot be carried out."""
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
    _hand_out(inst, timing, plan)
    _completed(inst, timing, planned.there)
    if not run_benches(inst, timing):
        return np.inf
    return float(objective(inst, timing.totals))


@inner
def through(inst: Instance, following: Following, k: int, plan: Sequences) -> float:
    """Follow the plan through scenario k: its objective there, inf if it cannot be carried out.

    following: what was planned as `as_planned` left it. totals[COST] is without what comes on top whatever the order.
    """
    own, scenarios, timing, planned = following.own, following.scenarios, following.timing, following.planned
    write_scenario(inst, own, scenarios, k, planned.last_lot)
    copy_presses(planned.now, plan)
    if not run_presses(own, planned.now, timing):
        return np.inf
    press_objective(own, timing.totals)
    _hand_out(own, timing, plan)
    if planned.to_the_letter[0] == 0:
        _completed(own, timing, planned.complete)
        copy_order(planned.now, plan)
        if _served_as_complete(planned):
            allot(own, timing, plan.order, planned.now.order, False)
            _ranked(own, timing, plan.order)
    if not run_benches(own, timing):
        return np.inf
    return float(objective(own, timing.totals))


@inner
def _hand_out(inst: Instance, timing: Timing, plan: Sequences) -> None:
    """Parts and pieces in the plan's order of service, from nothing."""
    for lot in range(timing.known.shape[0]):
        timing.known[lot, 0] = -1
    allot(inst, timing, plan.order, plan.order, True)
    refresh(inst, timing)


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

    Those in time keep their order among themselves: each counts as complete with the latest of them before it.
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
    if not any_late:
        return False
    moved = False
    for n in range(1, order.size):
        b = order[n]
        m = n
        while m > 0 and key[order[m - 1]] > key[b]:
            order[m] = order[m - 1]
            m -= 1
        order[m] = b
        moved = moved or m < n
    return moved

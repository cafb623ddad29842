"""What a plan is as planned, that its recourse goes by."""

from typing import NamedTuple

import numpy as np

from planner.schedule.bench_parts import allot, refresh
from planner.schedule.instance import Instance, Ints
from planner.schedule.jit import inner
from planner.schedule.packed import pack
from planner.schedule.sequences import Sequences
from planner.schedule.timing import Timing


class Planned(NamedTuple):
    """What a plan is, as planned, that its recourse goes by, and room for a scenario's own order."""

    begin: Ints  # (J) when each lot begins, its changeover included
    last_lot: Ints  # (R) the lot of each demand that ends last
    there: Ints  # (B) when all parts and pieces of each batch are there
    to_the_letter: Ints  # (1) 1: benches keep the order of service too
    now: Sequences  # the scenario's own order
    complete: Ints  # (B) room: when all parts and pieces are there in the scenario
    key: Ints  # (B) room: by what they are served in the scenario
    buffer: Ints  # (B) room


def planned_for(inst: Instance, to_the_letter: bool = False) -> Planned:
    """Room for what `as_planned` fills."""
    presses, lots, batches = inst.restart_s.size, inst.lot_run.size, inst.batch_work.size

    def zeros(*shape: int) -> Ints:
        return np.zeros(shape, dtype=np.int64)

    now = pack(Sequences(zeros(presses, lots), zeros(presses), zeros(batches)))
    letter = zeros(1) + int(to_the_letter)
    return pack(
        Planned(
            zeros(lots), zeros(inst.run_tool.size), zeros(batches), letter, now, zeros(batches), zeros(batches),
            zeros(batches),
        )
    )  # fmt: skip


@inner
def hand_out(inst: Instance, timing: Timing, order: Ints) -> None:
    """Parts and pieces in an order of service, from nothing."""
    for lot in range(timing.known.shape[0]):
        timing.known[lot, 0] = -1
    allot(inst, timing, order, order, True)
    refresh(inst, timing)

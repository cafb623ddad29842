"""Waits on purpose: lots of a plan put off to one of the next openings of their press, where that costs less.

Why after the search and one by one: most plans gain nothing, and a lot put off moves all behind it, which an
estimate cannot see. On small campaigns the proof tries every combination (`branch_and_bound/branching.py`).
"""

import numpy as np

from planner.schedule import timing as w
from planner.schedule.instance import Instance, Ints, packed_instance
from planner.schedule.lot_begins import lot_begin
from planner.schedule.press_wait import MOST_WAITS
from planner.schedule.solution import Solution, objective_of
from planner.schedule.timing import Timing

MOST_TRIALS, LOAD_OF_ALL = 400, 200_000
"""Waits tried, and lots, jobs, batches and needs looked at meanwhile: some tenths of a second."""

GAIN = 1e-6
"""Of the objective that is worth a wait."""

FARTHEST, COMBINATIONS = 30, 5_000
"""Openings a lot may wait for where lots are few: as many as leave so many combinations of waits."""


def most_waits(lots: int) -> int:
    """Openings that each lot of a plan may wait for, from the first after the one at which it could begin."""
    return int(min(FARTHEST, max(MOST_WAITS, COMBINATIONS ** (1 / max(1, lots)) - 1)))


def paused(inst: Instance, solution: Solution, timing: Timing) -> tuple[float, Solution]:
    """The plan with the waits that pay, and its objective; `timing` is left as that plan's."""
    best = solution.copy()
    release = release_of(inst, best)
    arrays = packed_instance(inst._replace(lot_release=release))  # which share `release`
    value = objective_of(arrays, best, timing)
    load = 4 * inst.lot_run.size + inst.batch_work.size + inst.job_work.size + inst.job_good.size
    trials = min(MOST_TRIALS, LOAD_OF_ALL // max(1, load))
    gained = np.isfinite(value)
    while gained and trials > 0:
        gained = False
        for lot in w.lots_in_order(inst, timing):
            before = int(release[lot])
            for opening in ([0] if before else []) + openings(inst, timing, lot):
                trials -= 1
                release[lot] = opening
                tried = objective_of(arrays, best, timing)
                if tried < value - GAIN * max(1.0, abs(value)):
                    value, before, gained = tried, opening, True
                    break
            release[lot] = before
            objective_of(arrays, best, timing)
            if trials <= 0:
                break
    best.release = release if release.any() or inst.lot_release.any() else None
    return value, best


def release_of(inst: Instance, solution: Solution) -> Ints:
    """(J) what each lot of a plan waits for, to be written into; 0: nothing."""
    release = np.zeros(inst.lot_run.size, dtype=np.int64)
    if solution.release is not None:
        release[:] = solution.release
    elif inst.lot_release.size:
        release[:] = inst.lot_release
    return release


def openings(inst: Instance, timing: Timing, lot: int) -> list[int]:
    """The next openings of the press after a lot begins, where it begins late in a stretch or goes on in another."""
    p = int(timing.lots[lot, w.PRESS])
    opens = inst.open_start[inst.open_ptr[p] : inst.open_ptr[p + 1]]
    k = int(np.searchsorted(opens, lot_begin(timing, lot), side="right"))
    return [int(at) for at in opens[k : k + most_waits(inst.lot_run.size)]]

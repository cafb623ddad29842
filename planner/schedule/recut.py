"""Lots cut otherwise: a demand that may be split is best cut where a pack batch has all its parts, not into equal lots.

The search orders lots as they are cut beforehand, as equal as can be. Here their sizes follow what the batches ask for,
in the order in which they are served.
"""

from collections.abc import Iterator
from itertools import combinations, product

import numpy as np

from planner.schedule import timing as w
from planner.schedule.instance import Instance, Ints, packed_instance
from planner.schedule.lot_sizes import cut, free_shots, may_be_cut
from planner.schedule.solution import Solution, objective_of
from planner.schedule.timing import Timing

MOST_PLACES, MOST_CUTS = 8, 3
"""Places at which a demand is cut, and cuts at once, that are tried."""

GAIN = 1e-6
MOST_TRIALS, LOAD_OF_ALL = 300, 150_000


def places(inst: Instance, order: Ints, run: int) -> list[int]:
    """Shots of a demand after which some batch has all its parts, batches served in this order; the first few."""
    found: set[int] = set()
    for g in np.flatnonzero(inst.good_run == run):
        asked = 0
        for b in order:
            jobs = range(inst.job_need_ptr[inst.job_ptr[b]], inst.job_need_ptr[inst.job_ptr[b + 1]])
            own = range(inst.batch_need_ptr[b], inst.batch_need_ptr[b + 1])
            asked += sum(int(inst.job_qty[i]) for i in jobs if inst.job_good[i] == g)
            asked += sum(int(inst.batch_qty[i]) for i in own if inst.batch_good[i] == g)
            parts = asked - int(inst.good_stock[g])
            if parts > 0:
                found.add(-(-parts * int(inst.good_count_shots[g]) // int(inst.good_need[g])))
    return sorted(found)[:MOST_PLACES]


def cuts(inst: Instance, order: Ints) -> Iterator[Instance]:
    """The instance with one demand cut at some of those places, each lot at least the smallest."""
    free = free_shots(inst)
    for run in may_be_cut(inst):
        begun = int(inst.run_shots[run] - free[run])
        at = [place - begun for place in places(inst, order, int(run))]
        for number in range(MOST_CUTS + 1):
            for chosen in combinations([place for place in at if 0 < place < free[run]], number):
                sizes = np.diff([0, *chosen, int(free[run])])
                if (sizes >= inst.run_smallest[run]).all():
                    yield cut(inst, int(run), sizes.tolist())


def resized(inst: Instance, solution: Solution, timing: Timing) -> tuple[float, Instance]:
    """The instance with shots moved between lots of one demand where that costs less, and its objective; the order of
    lots stays. `timing` is left as that plan's."""
    shots = inst.lot_shots.astype(np.int64).copy()
    changed = inst._replace(lot_shots=shots)
    arrays = packed_instance(changed)  # which share `shots`
    value = objective_of(arrays, solution, timing)
    load = 4 * inst.lot_run.size + inst.batch_work.size + inst.job_work.size + inst.job_good.size
    trials = min(MOST_TRIALS, LOAD_OF_ALL // max(1, load))
    pinned = int(inst.pinned.sum())
    for run in may_be_cut(inst):
        started = [lot for lot in w.lots_in_order(inst, timing) if inst.lot_run[lot] == run]
        least = [int(shots[lot]) if lot < pinned else int(inst.run_smallest[run]) for lot in started]
        wanted = places(inst, solution.order, int(run))
        for n, place in product(range(len(started) - 1), wanted):
            kept = shots[started].tolist()
            sizes = _with_end_at(kept, least, n, place)
            if trials <= 0 or sizes is None or min(started[n], started[n + 1]) < pinned:
                continue
            trials -= 1
            shots[started] = sizes
            tried = objective_of(arrays, solution, timing)
            if tried < value - GAIN * max(1.0, abs(value)):
                value = tried
            else:
                shots[started] = kept
    return objective_of(arrays, solution, timing), changed


def _with_end_at(sizes: list[int], least: list[int], n: int, place: int) -> list[int] | None:
    """Lots of one demand with the n-th ending after so many shots: its neighbour takes what is left over, and what it
    lacks comes from the lots next to it, past those at their least. None where that is as it was, or cannot be."""
    more = place - sum(sizes[: n + 1])
    found = list(sizes)
    gives = range(n + 1, len(sizes)) if more > 0 else range(n, -1, -1)
    found[n if more > 0 else n + 1] += abs(more)
    left = abs(more)
    for lot in gives:
        given = min(left, sizes[lot] - least[lot])
        found[lot] -= given
        left -= given
    return found if more and not left else None

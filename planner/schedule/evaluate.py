"""The single place where a plan's times and costs are decided: who runs where in what order -> when, and what it costs.

Compiled: the search calls it tens of thousands of times a second; the tests hold it against a slow and plain twin.
"""

import numba as nb
import numpy as np

from planner.schedule import tape as t
from planner.schedule import timing as w
from planner.schedule.bench_time import run_benches
from planner.schedule.instance import Floats, Ints
from planner.schedule.press_time import run_presses
from planner.schedule.tape import fpart, part


@nb.njit(cache=True)
def evaluate(
    ints: Ints,
    floats: Floats,
    seq: Ints,
    length: Ints,
    order: Ints,
    lots: Ints,
    pieces: Ints,
    jobs: Ints,
    batches: Ints,
    used: Floats,
    totals: Floats,
) -> float:
    """The objective of a plan, with its timing written in place; inf where the plan cannot be carried out.

    ints, floats: the Tape. seq (P, J): lots of each press in order, length (P) of them. order (B): pack batches, first
    served first. The rest: the fields of a Timing.
    """
    if not run_presses(ints, floats, seq, length, lots, pieces, used, totals):
        return np.inf
    if not run_benches(ints, floats, order, lots, pieces, jobs, batches, totals):
        return np.inf
    return objective(ints, floats, totals)


@nb.njit(cache=True)
def objective(ints: Ints, floats: Floats, totals: Floats) -> float:
    """Weigh the totals by the aim."""
    totals[w.COST] = (
        fpart(ints, floats, t.FIXED_COST)[0]
        + totals[w.PRESS_COST]
        + totals[w.SETTER_COST]
        + totals[w.PURGE_COST]
        + totals[w.STARTUP_COST]
        + totals[w.LEFTOVER]
        + totals[w.LATENESS]
    )
    totals[w.OBJECTIVE] = (
        fpart(ints, floats, t.AIM_COST)[0] * totals[w.COST]
        + fpart(ints, floats, t.AIM_LAST)[0] * totals[w.LAST] / 86400
        + fpart(ints, floats, t.AIM_MEAN)[0] * totals[w.MEAN] / 86400
        + fpart(ints, floats, t.AIM_WASTE)[0] * (totals[w.PURGE_TOTAL_KG] + totals[w.STARTUP_TOTAL_KG])
    )
    return float(totals[w.OBJECTIVE])


@nb.njit(cache=True)
def allowed(ints: Ints, seq: Ints, length: Ints) -> bool:
    """Whether every lot fits its press (A1) and no two resins that must never meet share one (A6)."""
    lot_run, fits, clash = part(ints, t.LOT_RUN), part(ints, t.FITS), part(ints, t.CLASH)
    runs = part(ints, t.RUN_TOOL).size
    for p in range(length.size):
        for n in range(length[p]):
            run = lot_run[seq[p, n]]
            if not fits[p * runs + run]:
                return False
            for m in range(n):
                if clash[run * runs + lot_run[seq[p, m]]]:
                    return False
    return True

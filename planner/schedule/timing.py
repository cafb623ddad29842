"""Room for what the evaluator decides: when each lot, job and batch happens, and the totals."""

from typing import NamedTuple

import numpy as np

from planner.schedule.instance import Floats, Instance, Ints

# Columns of the lots' table.
LOT_COLUMNS = 17
(
    PRESS, CO_START, CO_END, WARM, MOUNTED, FROM_TOOL, OLD_MELT, OLD_MELT_2, OLD_HOT, OLD_HOT_2,
    SETTER, START, END, ORDER, WHY, FIRST_PIECE, PIECES,
) = range(LOT_COLUMNS)  # fmt: skip
"""Of lot j at [j, column]: its press; its changeover (NEVER where none), warm-up in it, whether the tool was mounted,
the tool before; melts purged from barrels and hot runners (-1 none); its setter; first production and end; ORDER at
[n]: the n-th lot to start; what its start waited for; where its pieces begin in the table of pieces, and how many."""

PIECE_COLUMNS = 4
OPENED, BEGAN, WORK, RESTARTED = range(PIECE_COLUMNS)
"""Of a piece (a lot's production in one stretch): when its restart or production began, when production began, seconds
of production, 1 if a restart came before it."""

STEP_COLUMNS = 4
READY, STARTED, ENDED, PICKUP = range(STEP_COLUMNS)
"""Of an assembly job or pack batch: all it needs is there, start, end, and the pick-up it leaves with (batches)."""

TOTALS = 12
(
    OBJECTIVE, COST, PRESS_COST, SETTER_COST, PURGE_COST, STARTUP_COST, LEFTOVER, LATENESS, PURGE_TOTAL_KG,
    STARTUP_TOTAL_KG, LAST, MEAN,
) = range(TOTALS)  # fmt: skip

WAITED_FOR = ("press", "ready", "tool", "material", "setter", "hours")
BY_PRESS, BY_READY, BY_TOOL, BY_MATERIAL, BY_SETTER, BY_HOURS = range(len(WAITED_FOR))


class Timing(NamedTuple):
    """Written in place by the evaluator and reused. J lots, A assembly jobs, B pack batches, K materials."""

    lots: Ints  # (J, LOT_COLUMNS)
    pieces: Ints  # (J + stretches, PIECE_COLUMNS)
    jobs: Ints  # (A, STEP_COLUMNS)
    batches: Ints  # (B, STEP_COLUMNS)
    used_kg: Floats  # (K) regrind not taken off
    totals: Floats  # (TOTALS)


def timing_for(inst: Instance) -> Timing:
    """Room for one evaluation of `inst`."""
    lots = inst.lot_run.size
    return Timing(
        np.zeros((lots, LOT_COLUMNS), dtype=np.int64),
        np.zeros((lots + inst.open_start.size, PIECE_COLUMNS), dtype=np.int64),
        np.zeros((inst.job_work.size, STEP_COLUMNS), dtype=np.int64),
        np.zeros((inst.batch_work.size, STEP_COLUMNS), dtype=np.int64),
        np.zeros(inst.material_price.size),
        np.zeros(TOTALS),
    )

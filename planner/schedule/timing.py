"""Room for what the evaluator decides: when each lot, job and batch happens, and the totals."""

from typing import NamedTuple

import numpy as np

from planner.schedule.instance import Floats, Instance, Ints
from planner.schedule.packed import pack

# Columns of the lots' table.
LOT_COLUMNS = 20
(
    PRESS, CO_START, CO_END, WARM, MOUNTED, FROM_TOOL, OLD_MELT, OLD_MELT_2, OLD_HOT, OLD_HOT_2,
    SETTER, START, END, ORDER, WHY, FIRST_PIECE, PIECES, WITH_COMPOUND, SHOTS, LOT,
) = range(LOT_COLUMNS)  # fmt: skip
"""Of lot j at [j, column]: its press; its changeover (NEVER where none), warm-up in it, whether the tool was mounted,
the tool before; melts purged from barrels and hot runners (-1 none); its setter; first production and end; ORDER at
[n]: the n-th lot to start (-1: no more); what its start waited for; where its pieces begin in the table of pieces, and
how many; which of its purges are made with compound, a bit each: barrel 1, barrel 2, hot runner 1, hot runner 2; shots.

What others' work breaks off a lot has a row of its own behind those of the lots, with a changeover of its own; LOT is
the lot it belongs to, whose END is that of its last part."""

PIECE_COLUMNS = 5
OPENED, BEGAN, WORK, RESTARTED, CLOSING = range(PIECE_COLUMNS)
"""Of a piece (a lot's production in one stretch): when its restart or production began, when production began, seconds
of production, 1 if a restart came before it, seconds in which a melt that must not stand is cleared after it."""

STEP_COLUMNS = 4
READY, STARTED, ENDED, PICKUP = range(STEP_COLUMNS)
"""Of an assembly job or pack batch: all it needs is there, start, end, and the pick-up it leaves with (batches)."""

TOTALS = 15
(
    OBJECTIVE, COST, PRESS_COST, SETTER_COST, PURGE_COST, STARTUP_COST, LEFTOVER, LATENESS, PURGE_TOTAL_KG,
    STARTUP_TOTAL_KG, LAST, MEAN, MOVED_RUNS, MOVED_DAYS,
    BROKEN,
) = range(TOTALS)  # fmt: skip
"""BROKEN: how much of the maker's wishes is not kept; 0: all are."""

WAITED_FOR = ("press", "ready", "tool", "material", "setter", "hours", "dryer", "wish", "operators")
(
    BY_PRESS, BY_READY, BY_TOOL, BY_MATERIAL, BY_SETTER, BY_HOURS, BY_DRYER, BY_WISH, BY_OPERATORS,
) = range(len(WAITED_FOR))  # fmt: skip

# Columns of the evaluator's own tables: presses (CLEANING: WITH_COMPOUND of the next lot; SINCE: the stretch since
# which nobody else worked there, -1: the start; ROW, LEFT: row and shots of what was broken off the next lot, -1:
# nothing; PAID_STRETCH, PAID_SHIFTS: the stretch last charged by the shift, and how many of its shifts are over or
# charged), tools and goods while their time runs, and of its queues.
PRESS_COLUMNS = 20
(
    DONE, FREE, STRETCH, HOT, TOOL, MELT, MELT_2, BEGIN, AT, WARM_UP, CHANGE, BECAUSE, STALE, LOOKED, CLEANING,
    SINCE, ROW, LEFT, PAID_STRETCH, PAID_SHIFTS,
) = range(PRESS_COLUMNS)  # fmt: skip

TOOL_COLUMNS = 3
TOOL_FREE, TOOL_MELT, TOOL_MELT_2 = range(TOOL_COLUMNS)

DRYER_COLUMNS = 3
DRIES, LAST_DRAW, DRAWS = range(DRYER_COLUMNS)
"""Of a dryer: the resin it had last (-1: none yet), when the last run that draws of that ends, and in the first row how
many draws there are so far."""

DRAW_COLUMNS = 5
DRYER, RESIN, DRAW_BEGIN, PURGED_BY, DRAW_END = range(DRAW_COLUMNS)
DRAWN_COLUMNS = 4
RATE, MOST, PURGED, AGAIN = range(DRAWN_COLUMNS)
"""Of what a lot draws of a resin: from which dryer, from when to when, when its purge is done; kg a second, the most in
as long as drying takes, and purged: before the run, and after its closings in as long."""

GOOD_COLUMNS = 1
(ASKED,) = range(GOOD_COLUMNS)

QUEUE_COLUMNS = 6
JOB_RANK, JOBS_BY_READY, BATCH_RANK, BATCHES_BY_READY, PACKED, BUFFER = range(QUEUE_COLUMNS)

DIGIT_BITS = 10
DIGITS = 1 << DIGIT_BITS
"""Of the moments by which the queues are sorted, digit by digit."""


class Timing(NamedTuple):
    """Written in place by the evaluator and reused. J lots, A assembly jobs, B pack batches, K materials."""

    lots: Ints  # (J + what may be broken off, LOT_COLUMNS)
    pieces: Ints  # (J + stretches, PIECE_COLUMNS)
    jobs: Ints  # (A, STEP_COLUMNS)
    batches: Ints  # (B, STEP_COLUMNS)
    finished: Ints  # (F * A, STEP_COLUMNS) on the parts of each assembly job, bench by bench
    used_kg: Floats  # (K) regrind not taken off
    totals: Floats  # (TOTALS)
    # the evaluator's own tables
    presses: Ints  # (P, PRESS_COLUMNS)
    tools: Ints  # (T, TOOL_COLUMNS)
    setters: Ints  # (S) when each is free
    operators: Ints  # (inst.operators) when each is free, soonest first at each place
    purges: Floats  # (P, 2) kg of melt that purge each barrel, and the hot runner behind it, before the next lot
    bills: Floats  # (P) what the run in each press comes to so far, where moulders charge a least
    into_moulds: Ints  # (G) of each good, what lots that have begun took at the shot; where anything is moulded over
    wishes: Ints  # (2, R) where there are wishes: lots of each run demand still to come, and when the last was done
    dryers: Ints  # (D, DRYER_COLUMNS)
    draws: Ints  # (2 rows, DRAW_COLUMNS) in order of start, where there are dryers
    drawn: Floats  # (2 rows, DRAWN_COLUMNS)
    rows: Ints  # (2) rows of the lots' table that are used, and lots that have their place
    links: Ints  # (2 R + rows of lots): first and last lot of each run demand, next lot of each lot
    goods: Ints  # (G, GOOD_COLUMNS)
    asked: Ints  # (needs of jobs, then of batches): of its good, all asked for up to it in order of service
    needs: Ints  # (needs of jobs, then of batches): the shot waited for, or the moment where no run makes it
    moments: Ints  # (needs of jobs): when each is met
    sources: Ints  # (needs of jobs): the lot whose shot meets it, -1 if none has to
    known: Ints  # (rows of lots, 5) press, begin, start, shots and run demand of each to which moments belong
    asking: Ints  # (R + 1, then needs of jobs): where the needs of each run demand stand, and which they are
    queues: Ints  # (QUEUE_COLUMNS + F, max(A, B)); of the benches before assembly, jobs by when they are ready
    waiting: Ints  # room for a bit a step, and a bit for each word of those
    digits: Ints  # (DIGITS + 1) room
    room: Ints  # (pick-ups) parcels each can take; empty between evaluations


def timing_for(inst: Instance) -> Timing:
    """Room for one evaluation of `inst`, as compiled code takes it."""

    def zeros(*shape: int) -> Ints:
        return np.zeros(shape, dtype=np.int64)

    lots, jobs, batches = inst.lot_run.size + inst.broken_off, inst.job_work.size, inst.batch_work.size
    queues = zeros(QUEUE_COLUMNS + inst.finishing, max(jobs, batches, 1))
    queues[[JOBS_BY_READY, BATCHES_BY_READY, *range(QUEUE_COLUMNS, queues.shape[0])]] = np.arange(queues.shape[1])
    return pack(
        Timing(
            lots=zeros(lots, LOT_COLUMNS),
            pieces=zeros(lots + inst.open_start.size, PIECE_COLUMNS),
            jobs=zeros(jobs, STEP_COLUMNS),
            batches=zeros(batches, STEP_COLUMNS),
            finished=zeros(inst.finishing * jobs, STEP_COLUMNS),
            used_kg=np.zeros(inst.material_price.size),
            totals=np.zeros(TOTALS),
            presses=zeros(inst.restart_s.size, PRESS_COLUMNS),
            tools=zeros(inst.mount_s.size, TOOL_COLUMNS),
            setters=zeros(inst.setters),
            operators=zeros(inst.operators),
            purges=np.zeros((inst.restart_s.size, 2)),
            bills=np.zeros(inst.restart_s.size),
            into_moulds=zeros(inst.good_run.size if inst.over_good.size else 0),
            wishes=zeros(2, inst.run_tool.size if inst.wishing else 0),
            dryers=zeros(inst.dryers, DRYER_COLUMNS),
            draws=zeros(2 * lots if inst.dryers else 0, DRAW_COLUMNS),
            drawn=np.zeros((2 * lots if inst.dryers else 0, DRAWN_COLUMNS)),
            rows=zeros(2),
            links=zeros(2 * inst.run_tool.size + lots),
            goods=zeros(inst.good_run.size, GOOD_COLUMNS),
            asked=zeros(inst.job_good.size + inst.batch_good.size),
            needs=zeros(inst.job_good.size + inst.batch_good.size),
            moments=zeros(inst.job_good.size),
            sources=zeros(inst.job_good.size),
            known=zeros(lots, 5) - 1,
            asking=_asking(inst),
            queues=queues,
            waiting=zeros(2 + max(jobs, batches) // 8),
            digits=zeros(DIGITS + 1),
            room=(
                np.array(inst.carrier_parcels[inst.pickup_carrier], dtype=np.int64)
                if inst.leaving
                else np.full(inst.pickup_t.size, inst.pickup_parcels, dtype=np.int64)
            ),
        )
    )


def _asking(inst: Instance) -> Ints:
    """Needs of assembly jobs by the run demand that meets them, with where each run demand's stand."""
    runs = inst.run_tool.size
    by = inst.good_run[inst.job_good]
    order = np.argsort(by, kind="stable")
    if inst.several:  # a need stands under each run that makes some of its good
        pairs = [
            (int(inst.good_run[source]), need)
            for need, good in enumerate(inst.job_good.tolist())
            for source in (range(inst.first_source[good], inst.last_source[good]) or (good,))
        ]
        by = np.array([run for run, _ in pairs], dtype=np.int64)
        order = np.argsort(by, kind="stable")
        ends = np.searchsorted(by[order], np.arange(runs + 1))
        return np.concatenate([runs + 1 + ends, np.array([need for _, need in pairs])[order]]).astype(np.int64)
    ends = np.searchsorted(by[order], np.arange(runs + 1))
    return np.concatenate([runs + 1 + ends, order]).astype(np.int64)


def lots_in_order(inst: Instance, timing: Timing) -> list[int]:
    """Lots in order of their first start."""
    found: list[int] = []
    for row in timing.lots[:, ORDER].tolist():
        if row < 0:
            break
        if row < inst.lot_run.size:
            found.append(row)
    return found

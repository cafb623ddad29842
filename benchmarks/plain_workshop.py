"""Textbook scheduling problems read into the planner's own Instance: runs, presses, changeovers, a bench, pick-ups.

A second is the unit of whatever the problem counts in. Set-ups become purges between melts, a job's time one shot, its
due date the day of a pick-up, its completion a parcel that leaves the second it is done. Nothing in the engine knows.
"""

from collections.abc import Sequence

import numpy as np

from planner.schedule.instance import Instance
from planner.schedule.warm import smallest_instance


def workshop(
    seconds: Sequence[Sequence[int]],
    setups: Sequence[Sequence[Sequence[int]]] | None = None,
    holds: Sequence[int] | None = None,
    first: Sequence[Sequence[int]] | None = None,
    needs: Sequence[Sequence[int]] | None = None,
    assembly: Sequence[int] | None = None,
    due: Sequence[int] | None = None,
    late: Sequence[float] | None = None,
    weights: Sequence[float] | None = None,
    horizon: int | None = None,
) -> Instance:
    """One run a job, one batch an order, everything open all the time.

    seconds (P, R): each job's time on each press, negative where it does not fit. setups (P, R, R): seconds from one
    job to another. holds (P): job whose melt is in the press at the start, -1 clean. first (P, R): seconds before a
    job that comes first. needs: the jobs each order waits for, one order a job if not given. assembly: seconds on the
    assembly bench per order. due, late, weights: per order.
    """
    times = np.array(seconds, dtype=np.int64)
    presses, runs = times.shape
    orders = [[j] for j in range(runs)] if needs is None else [list(n) for n in needs]
    batches = len(orders)
    between = np.zeros((presses, runs, runs), dtype=np.int64) if setups is None else np.array(setups, dtype=np.int64)
    melts = runs + 1  # the last: what a press holds before its first job, where that costs seconds
    purge_s = np.zeros((presses, 2, runs, melts), dtype=np.int64)
    purge_s[:, 0, :, :runs] = between.transpose(0, 2, 1)
    press_melt = np.full((presses, 2), -1, dtype=np.int64)
    if holds is not None:
        press_melt[:, 0] = holds
    if first is not None:
        press_melt[:, 0] = runs
        purge_s[:, 0, :, runs] = np.array(first)
    end = horizon or int(times.clip(min=0).max(axis=0).sum() + between.max() * runs + sum(assembly or [0]) + 10)
    one, zero = np.ones(runs, dtype=np.int64), np.zeros(runs, dtype=np.int64)
    work = np.array(assembly or [0] * batches, dtype=np.int64)
    return smallest_instance()._replace(
        open_ptr=np.arange(presses + 1), open_start=np.zeros(presses, dtype=np.int64),
        open_end=np.full(presses, 2 * end + 1), restart_s=np.zeros(presses, dtype=np.int64),
        press_cost_s=np.ones(presses), setter_cost_s=np.zeros(presses),
        press_tool=np.full(presses, -1), press_melt=press_melt, pinned=np.zeros(presses, dtype=np.int64),
        run_tool=np.arange(runs), run_melt=np.stack([np.arange(runs), np.full(runs, -1)], axis=1), run_shots=one,
        fits=times >= 0, clash=np.zeros((runs, runs), dtype=np.bool_), shot_num=times.clip(min=0),
        shot_den=np.ones_like(times), startup_shots=zero, startup_s=np.zeros_like(times),
        shot_kg=np.zeros((runs, 2)), lot_run=np.arange(runs), lot_shots=one,
        setters=presses, mount_s=zero, tool_ready=zero, purge_s=purge_s, purge_kg=np.zeros((presses, 2, melts, melts)),
        hot_s=np.zeros((presses, 2, runs, melts), dtype=np.int64), hot_kg=np.zeros((runs, 2, melts, melts)),
        hot_runner=np.zeros((runs, 2), dtype=np.bool_), waste_cost_kg=np.zeros(melts),
        melt_light=np.zeros(melts),
        melt_resin=np.zeros(melts, dtype=np.int64), melt_master=np.full(melts, -1), melt_master_share=np.zeros(melts),
        good_run=np.arange(runs), good_stock=zero, good_need=one * batches, good_count_shots=one,
        good_rest_s=zero, piece_ptr=np.zeros(runs + 1, dtype=np.int64),
        asm_end=np.array([2 * end]), pack_end=np.array([2 * end]),
        job_ptr=np.arange(batches + 1), job_work=work,
        job_need_ptr=np.concatenate(([0], np.cumsum([len(n) for n in orders]))),
        job_good=np.array([j for n in orders for j in n]), job_qty=np.ones(sum(map(len, orders)), dtype=np.int64),
        batch_work=np.zeros(batches, dtype=np.int64), batch_parcels=np.ones(batches, dtype=np.int64),
        batch_due=np.array(due if due is not None else [2 * end] * batches),
        batch_late_cost=np.array(late if late is not None else [0.0] * batches, dtype=np.float64),
        batch_weight=np.array(weights if weights is not None else [1.0] * batches, dtype=np.float64),
        batch_need_ptr=np.zeros(batches + 1, dtype=np.int64),
        pickup_t=np.arange(end), pickup_day=np.arange(end), pickup_parcels=batches,
    )  # fmt: skip


def least_makespan(inst: Instance) -> Instance:
    """The objective is the second the last order is done."""
    return inst._replace(aim_cost=0.0, aim_last=86400.0)


def least_lateness(inst: Instance) -> Instance:
    """The objective is what is late, each order at its weight."""
    return inst._replace(press_cost_s=np.zeros(inst.press_cost_s.size))


def least_completion(inst: Instance) -> Instance:
    """The objective is the sum of weighted completion times."""
    return inst._replace(aim_cost=0.0, aim_mean=86400.0 * float(inst.batch_weight.sum()))


def tour(distances: Sequence[Sequence[int]]) -> tuple[Instance, int]:
    """An asymmetric tour as one press's colour order; and the seconds of its shots, to be taken off the cost.

    The press holds the first colour. The last run is that colour again; nothing can follow it.
    """
    d = np.array(distances, dtype=np.int64)
    n = d.shape[0]
    between = np.zeros((n, n), dtype=np.int64)  # jobs: colours 1 .. n - 1, then colour 0 again
    between[: n - 1, : n - 1] = d[1:, 1:]
    between[: n - 1, n - 1] = d[1:, 0]
    barred = int(d[~np.eye(n, dtype=bool)].max()) * n
    between[n - 1, :] = barred
    first = np.append(d[0, 1:], barred)
    np.fill_diagonal(between, 0)
    inst = workshop([[1] * n], setups=[between.tolist()], first=[first.tolist()], needs=[list(range(n))], horizon=1)
    far = np.array([4 * barred * n])
    return inst._replace(open_end=far, asm_end=far, pack_end=far, pickup_t=far - 1, pickup_day=far), n

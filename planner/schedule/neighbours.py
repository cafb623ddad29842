"""For each lot, the lots behind which its changeover is cheapest: where the chain likes to put it.

Why: a move to just anywhere seldom gains anything. On one machine with set-ups, 60 jobs, 20 s, two cores, wt_sds_1, 5,
10, 15, 20 gave 528, 4,263, 1,895, 1,135, 2,077 instead of 672, 4,320, 1,887, 1,182, 2,629; campaigns of 25 and 70 runs
stayed within 0.2 %.
"""

import numpy as np

from planner.schedule.instance import Floats, Instance, Ints

NEAR = 15
"""Lots kept for each lot, at most."""


def cheapest_before(inst: Instance, rate: Floats, waste: Floats) -> Ints:
    """(J, up to NEAR) lots, cheapest first; a lot alone has itself.

    rate (P): objective a working second of each press; waste (M): objective of a kg of purge.
    """
    lots = inst.lot_run.size
    if lots < 2:
        return np.arange(lots, dtype=np.int64).reshape(lots, 1)
    entered = np.stack([_entered(inst, r, rate, waste) for r in range(inst.run_tool.size)])
    behind = entered[np.ix_(inst.lot_run, inst.lot_run)]
    np.fill_diagonal(behind, np.inf)
    number = min(NEAR, lots - 1)
    nearest: Ints = np.argsort(behind, axis=1, kind="stable")[:, :number].astype(np.int64)
    return np.ascontiguousarray(nearest)


def _entered(inst: Instance, run: int, rate: Floats, waste: Floats) -> Floats:
    """(R) what it costs to enter a run behind each other on the first press that takes it; seconds decide ties."""
    p = int(inst.fits[:, run].argmax())
    seconds = np.where(inst.run_tool != inst.run_tool[run], inst.least_mount_s[inst.run_tool[run]], 0).astype(
        np.float64
    )
    money = np.zeros(seconds.size)
    for b in range(2):
        new, old = inst.run_melt[run, b], inst.leaves[:, b]
        if new < 0:
            continue
        purged = (old >= 0) & (old != new)
        seconds += np.where(purged, inst.purge_s[p, b, run, old.clip(min=0)], 0)
        money += np.where(purged, inst.purge_kg[p, b, old.clip(min=0), new] * waste[new], 0.0)
    return np.asarray(money + seconds * max(float(rate[p]), 1e-9), dtype=np.float64)

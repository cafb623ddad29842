"""Whether it can pay to enter a demand twice: if not, only the orders of whole demands are left to go through.

Why: a demand of a thousand shots can be cut in more ways than can be gone through one by one, so campaigns with such
demands stayed open. But whoever enters a demand twice pays for it: in all plans that do, the least cost is bounded by
`dated_paths`; where it is no less than what is known, only plans are left in which the lots of each demand follow each
other on one press.

Those are whole demands, but for one thing: a lot may wait on purpose behind another of its demand until an opening, so
that the run pauses. Nothing but openings holds the second lot, and all are of one length: `apart_only_in_time` asks
that. Leaving a whole opening out then saves nothing, as all behind it would begin as far into their stretches, a
stretch sooner. Leaving the rest of a stretch out may save something: who follows begins later in a stretch, so that
another run restarts at a closing, with cheaper start-up shots. Such pauses are not gone through: RULES.md, R19 leaves
them out, and what a plan says of its proof says so (`search.WHOLE_PLANS`).
"""

import numpy as np
from ortools.sat.python import cp_model

from planner.schedule.bounds.changeovers import least_changeovers
from planner.schedule.bounds.dated_paths import DatedPaths, small_enough
from planner.schedule.bounds.earliest import earliest_dispatch
from planner.schedule.bounds.whole_bags import material_kg
from planner.schedule.instance import Instance
from planner.schedule.lot_sizes import cut, free_shots, may_be_cut

PLENTY = 100.0
"""Times what a campaign moulds and starts up with, and as many kg: more of a material than any plan takes."""


def whole_demands(inst: Instance) -> Instance:
    """The instance with nothing cut that may stay whole."""
    free = free_shots(inst)
    for run in may_be_cut(inst).tolist():
        inst = cut(inst, run, [int(free[run])])
    return inst


def apart_only_in_time(inst: Instance) -> bool:
    """Whether nothing but an opening left out can lie between two lots of one demand that follow each other, and no
    opening is worth leaving out."""
    divisible = may_be_cut(inst)
    others = inst.dryers or inst.clears or inst.charging or inst.sharing or inst.wishing or inst.announced
    others = others or inst.several or inst.operators
    pinned = inst.lot_run[: int(inst.pinned.sum())]
    if others or np.isin(pinned, divisible).any() or not small_enough(inst):
        return False
    if inst.hands_end.size and not np.array_equal(inst.hands_end, inst.open_end):
        return False
    for p in np.flatnonzero(inst.fits[:, divisible].any(axis=1)):
        a, b = int(inst.open_ptr[p]) + 1, int(inst.open_ptr[p + 1]) - 1  # the calendar may cut the first and the last
        lengths = inst.open_end[a:b] - inst.open_start[a:b]
        if lengths.size and (lengths != lengths[0]).any():
            return False
    kg = material_kg(inst, np.arange(inst.run_tool.size))
    plenty = PLENTY * (1.0 + (kg * (inst.run_shots + inst.startup_shots)[:, None]).sum(axis=0))
    for m in np.flatnonzero((kg[divisible] > 0).any(axis=0)):
        steps = inst.supply_kg[inst.supply_ptr[m] : inst.supply_ptr[m + 1]]
        if ((steps > 0) & (steps < plenty[m])).any():
            return False
    return True


def least_when_split(inst: Instance, effort: float, solver: cp_model.CpSolver) -> float:
    """Money of plans in which some demand is entered twice, at the least; infinite where none can be."""
    least = least_changeovers(inst)
    model = DatedPaths(inst, least, earliest_dispatch(inst, least), split=True)
    return inst.fixed_cost + model.least_money(effort, solver)

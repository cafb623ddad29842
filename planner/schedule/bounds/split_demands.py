"""Whether it can pay to cut demands into lots at all: if not, going through the orders of whole demands is a proof.

Why: a demand of a thousand shots can be cut in more ways than can be gone through one by one, so campaigns with such
demands stayed open. But whoever enters a demand twice pays for it: in all plans that do, the least cost is bounded by
`dated_paths`; where it is no less than what is known, only plans are left in which the lots of each demand follow each
other on one press.

Those are whole demands, but for one thing: a lot may wait on purpose behind another of its demand, so that an opening
in the middle of the run is left out. Where every stretch of a press is as long as the next, that saves nothing. Let a
run leave out an opening. If it goes on there instead, it fills the same length of as many stretches, each one sooner,
and so does all that followed it on its press: it begins as far into its stretch as before, a stretch sooner, or where
it is not there yet, with an opening it waits for (RULES.md, R19 says which waits are not tried). No restart comes on
top. And nothing but time holds the second lot: `apart_only_in_time` asks that of materials, dryers and what else a lot
could wait for.
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
    others = others or inst.several
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

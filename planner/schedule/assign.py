"""Which presses each run demand may go to when forbidden pairs keep resins apart: an assignment by CP-SAT.

Why: handing lots out one by one can put a resin on the only press that another, forbidden beside it, fits.
"""

import numpy as np

from planner.schedule.instance import Bools, Instance

SECONDS = 5.0
"""Far more than the largest campaign needs (tens of binary variables a press); a backstop."""


def one_press_each(inst: Instance) -> Bools | None:
    """(P, R) one press for every run demand, no two that clash together, the busiest press as idle as can be.

    None if there is no such assignment.
    """
    from ortools.sat.python import cp_model  # here: first plans are made without it where no pair is forbidden

    presses, runs = inst.fits.shape
    model = cp_model.CpModel()
    on = {
        (p, r): model.new_bool_var(f"run {r} on press {p}")
        for p in range(presses)
        for r in range(runs)
        if inst.fits[p, r]
    }
    work = np.ceil(inst.run_shots * inst.shot_num / inst.shot_den).astype(int)
    busiest = model.new_int_var(0, int(work.max(initial=0)) * runs, "busiest")
    for r in range(runs):
        model.add_exactly_one(on[p, r] for p in range(presses) if (p, r) in on)
    for p in range(presses):
        here = [r for r in range(runs) if (p, r) in on]
        model.add(sum(int(work[p, r]) * on[p, r] for r in here) <= busiest)
        for i, r in enumerate(here):
            for other in here[:i]:
                if inst.clash[r, other]:
                    model.add_bool_or(~on[p, r], ~on[p, other])
    pinned = 0
    for p in range(presses):
        for _ in range(inst.pinned[p]):
            run = int(inst.lot_run[pinned])
            pinned += 1
            if (p, run) not in on:
                return None
            model.add(on[p, run] == 1)
    model.minimize(busiest)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_deterministic_time = SECONDS
    if solver.solve(model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    chosen = np.zeros((presses, runs), dtype=np.bool_)
    for (p, r), variable in on.items():
        chosen[p, r] = solver.boolean_value(variable)
    return chosen

"""Looking on where no rule of practice finds a plan: runs strung together by CP-SAT, every order, repair (`repair.py`).

A rule that sorts runs by colour or date can end at a closing that no changeover fits before, or purge away a resin of
which no more comes, where another order does neither. So a campaign is called impossible only with a proof: the
relaxation in `paths.py` has no solution, or every order of all runs was gone through.
"""

from dataclasses import dataclass

import numpy as np

from planner.control import Control
from planner.schedule.branch_and_bound.exact import NODES_A_ROUND, Exact, exhaust
from planner.schedule.construct import by_promise
from planner.schedule.instance import Instance
from planner.schedule.lot_sizes import most_lots
from planner.schedule.paths import Paths, finite
from planner.schedule.repair import repaired
from planner.schedule.solution import Solution, allowed, objective_of
from planner.schedule.timing import Timing

STRUNG = 12
"""Ways to string the runs together that are tried."""
MOST_NODES = 5_000_000


@dataclass(frozen=True)
class Looked:
    """What came of it. plan: one that can be carried out, with its objective. proof: why there is none, in words; "":
    neither."""

    plan: Solution | None
    value: float
    proof: str


BY_PATHS = "no order in which the presses' runs follow each other fits their hours, materials and forbidden pairs"
BY_ORDERS = "every order of all runs was gone through"


def any_plan(
    inst: Instance, arrays: Instance, timing: Timing, control: Control, rounds: int | None, seed: int
) -> Looked:
    """Look for any plan that can be carried out, or for a proof that there is none."""
    paths = Paths(inst)
    strung = []
    for solution in paths.orders(STRUNG, seed):
        if control.should_stop():
            break
        solution.order = by_promise(inst)
        if (found := _carried_out(inst, arrays, timing, solution)) is not None:
            return found
        strung.append(solution)
    if paths.impossible:
        return Looked(None, np.inf, BY_PATHS)
    nodes = MOST_NODES if rounds is None else NODES_A_ROUND * max(1, rounds)
    begin = Solution.empty(inst)
    begin.order = by_promise(inst)
    gone_through = exhaust(inst, timing, Exact(begin, np.inf, False), control, min(nodes, MOST_NODES), first=True)
    if gone_through.value < np.inf:
        return Looked(gone_through.best, gone_through.value, "")
    if gone_through.proven and orders_are_all(inst):
        return Looked(None, np.inf, BY_ORDERS)
    mended, value = repaired(inst, control, rounds, strung or [begin], seed)
    return Looked(mended, value, "")


def orders_are_all(inst: Instance) -> bool:
    """Whether only the order of the lots decides if a plan can be carried out: none may be cut otherwise, and no
    restart, which waiting for the next opening could save, takes of a material that may run out."""
    if inst.dryers:
        return False  # a run begun later could leave another its dryer
    if (most_lots(inst) > 1).any():
        return False
    ends = finite(inst)
    for r, melts in enumerate(inst.run_melt):
        for melt in melts:
            if melt >= 0 and inst.startup_shots[r] > 0:
                master = inst.melt_master[melt]
                if ends[inst.melt_resin[melt]] or (master >= 0 and ends[master]):
                    return False
    return True


def _carried_out(inst: Instance, arrays: Instance, timing: Timing, solution: Solution) -> Looked | None:
    if not allowed(inst, solution) or int(solution.length.sum()) != inst.lot_run.size:
        return None
    value = objective_of(arrays, solution, timing)
    return Looked(solution, value, "") if value < np.inf else None

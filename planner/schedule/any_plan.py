"""Looking on where no rule of practice finds a plan: runs strung together by CP-SAT, every order, repair.

A rule that sorts runs by colour or date can end at a closing that no changeover fits before, or purge away a resin of
which no more comes, where another order does neither. So a campaign is called impossible only with a proof: the
relaxation in `paths.py` has no solution, or every order of all runs was gone through.
"""

from dataclasses import dataclass
from random import Random

import numpy as np

from planner.control import Control
from planner.schedule import timing as w
from planner.schedule.branch_and_bound.exact import NODES_A_ROUND, Exact, exhaust
from planner.schedule.construct import by_promise
from planner.schedule.instance import Instance
from planner.schedule.lot_sizes import most_lots
from planner.schedule.paths import Paths, finite
from planner.schedule.solution import Solution, allowed, objective_of
from planner.schedule.timing import Timing

STRUNG = 12
"""Ways to string the runs together that are tried."""
TRIES_A_ROUND = 200
"""Orders repaired step by step, of a search by rounds."""
MOST_NODES = 5_000_000
AFRESH = 60
"""Steps without getting further after which repair begins from another order."""


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
    return _repaired(inst, arrays, timing, control, rounds, strung or [begin], seed)


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


def _repaired(
    inst: Instance,
    arrays: Instance,
    timing: Timing,
    control: Control,
    rounds: int | None,
    begins: list[Solution],
    seed: int,
) -> Looked:
    """The lot at which an order gets stuck is put elsewhere, or another before it, as long as that gets further."""
    draw = Random(seed)
    lots = inst.lot_run.size
    pinned = int(inst.pinned.sum())
    tries = None if rounds is None else TRIES_A_ROUND * max(1, rounds)
    done = still = 0
    here = _complete(inst, begins[0], draw)
    got = _reached(inst, arrays, timing, here)
    while lots > pinned and (tries is None or done < tries):
        left = control.seconds_left()
        if control.should_stop() or (tries is None and (left is None or left <= 0)):
            break
        done += 1
        other = here.copy()
        _moved(inst, other, timing, draw, pinned)
        if not allowed(inst, other):
            continue
        further = _reached(inst, arrays, timing, other)
        if further == np.inf:
            return Looked(other, objective_of(arrays, other, timing), "")
        still = 0 if further > got else still + 1
        if further >= got or draw.random() < 0.02:
            here, got = other, further
        if still > AFRESH:
            here = _complete(inst, begins[done % len(begins)], draw, shuffled=done % 2 == 0)
            got, still = _reached(inst, arrays, timing, here), 0
    return Looked(None, np.inf, "")


def _complete(inst: Instance, begin: Solution, draw: Random, shuffled: bool = False) -> Solution:
    """A plan with all lots in it, those it has not where they fit; `shuffled`: those not pinned in another order."""
    placed = {lot for lots in begin.lots() for lot in lots}
    pinned = int(inst.pinned.sum())
    solution = Solution.empty(inst)
    solution.order = begin.order.copy()
    first = 0
    for p, number in enumerate(inst.pinned):
        for lot in range(first, first + int(number)):
            solution.append(p, lot)
        first += int(number)
    rows = [(p, lot) for p, lots in enumerate(begin.lots()) for lot in lots if lot >= pinned]
    for lot in range(pinned, inst.lot_run.size):
        if lot not in placed:
            rows.append((int(draw.choice(np.flatnonzero(inst.fits[:, inst.lot_run[lot]]).tolist())), lot))
    if shuffled:
        draw.shuffle(rows)
    for p, lot in rows:
        solution.append(p, lot)
    return solution


def _reached(inst: Instance, arrays: Instance, timing: Timing, solution: Solution) -> float:
    """How many lots could be timed; inf if the plan can be carried out."""
    if objective_of(arrays, solution, timing) < np.inf:
        return np.inf
    return float(timing.presses[:, w.DONE].sum())


def _moved(inst: Instance, plan: Solution, timing: Timing, draw: Random, pinned: int) -> None:
    """Take a lot out, mostly one of those at which a press is stuck, and put it in anywhere it fits."""
    stuck = [
        int(plan.seq[p, timing.presses[p, w.DONE]])
        for p in range(plan.length.size)
        if timing.presses[p, w.DONE] < plan.length[p]
    ]
    free = [lot for lot in stuck if lot >= pinned]
    lot = draw.choice(free) if free and draw.random() < 0.5 else draw.randrange(pinned, inst.lot_run.size)
    rows = plan.lots()
    for row in rows:
        if lot in row:
            row.remove(lot)
    p = int(draw.choice(np.flatnonzero(inst.fits[:, inst.lot_run[lot]]).tolist()))
    rows[p].insert(draw.randint(int(inst.pinned[p]), len(rows[p])), lot)
    plan.length[:] = 0
    for press, row in enumerate(rows):
        for each in row:
            plan.append(press, each)

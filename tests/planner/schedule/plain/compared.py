"""The compiled evaluator held against the plain reading, plan by plan: times to the second, money to the cent."""

import random
from collections.abc import Iterator

import numpy as np
import pytest

from planner.schedule import timing as w
from planner.schedule.instance import NEVER, Instance, packed_instance
from planner.schedule.solution import Solution, objective_of
from planner.schedule.timing import Timing
from tests.planner.schedule.plain.evaluate import carried_out, objective
from tests.planner.schedule.plain.workshop import CannotBeDone, Result

COST_LINES = {
    w.PRESS_COST: "press", w.SETTER_COST: "setter", w.PURGE_COST: "purge", w.STARTUP_COST: "startup",
    w.LEFTOVER: "leftover", w.LATENESS: "lateness",
}  # fmt: skip


def random_plan(inst: Instance, draw: random.Random) -> Solution:
    """Lots in any order on any press they fit (A6 is not a matter of timing); pinned lots first."""
    solution = Solution.empty(inst)
    lots = list(range(inst.lot_run.size))
    pinned = 0
    for p in range(inst.pinned.size):
        for _ in range(inst.pinned[p]):
            solution.append(p, pinned)
            pinned += 1
    rest = lots[pinned:]
    draw.shuffle(rest)
    for lot in rest:
        solution.append(draw.choice([p for p in range(inst.pinned.size) if inst.fits[p, inst.lot_run[lot]]]), lot)
    order = solution.order.tolist()
    draw.shuffle(order)
    solution.order[:] = order
    return solution


def evaluated_twice(inst: Instance, timing: Timing, seed: int, plans: int) -> Iterator[Result]:
    """What the plain twin makes of so many random plans, each held against the evaluator, with `timing` as that left
    it.

    What the twin cannot carry out has no end for the evaluator either, and is passed over.
    """
    arrays, draw = packed_instance(inst), random.Random(seed)
    for _ in range(plans):
        solution = random_plan(inst, draw)
        value = objective_of(arrays, solution, timing)
        try:
            plain = carried_out(inst, solution.lots(), [int(b) for b in solution.order])
        except CannotBeDone:
            assert value == np.inf, seed
            continue
        agree(inst, timing, value, plain, seed)
        yield plain


def agree(inst: Instance, timing: Timing, value: float, plain: Result, seed: int) -> None:
    """Every lot, changeover, job, batch, pick-up, line of cost and kg, and the objective."""
    closing = inst.filled().closing_s
    for lot, what in plain.lots.items():
        row = timing.lots[lot]
        # the press is at it until its melt is cleared, where that must not stand
        until = what.end + int(closing[what.press, inst.lot_run[lot]])
        assert (row[w.PRESS], row[w.END]) == (what.press, until), (seed, lot)
        change = None if row[w.CO_START] == NEVER else (row[w.CO_START], row[w.CO_END])
        assert change == what.changeover, (seed, lot)
    assert timing.jobs[:, w.ENDED].tolist() == [plain.job_ends[j] for j in range(len(plain.job_ends))], seed
    assert timing.batches[:, w.ENDED].tolist() == [plain.batch_ends[b] for b in range(len(plain.pickups))], seed
    assert timing.batches[:, w.PICKUP].tolist() == [plain.pickups[b] for b in range(len(plain.pickups))], seed
    for column, line in COST_LINES.items():
        assert timing.totals[column] == pytest.approx(plain.lines[line], rel=1e-9, abs=1e-6), (seed, line)
    assert timing.totals[w.PURGE_TOTAL_KG] == pytest.approx(plain.purge_kg), seed
    assert timing.totals[w.STARTUP_TOTAL_KG] == pytest.approx(plain.startup_kg), seed
    assert timing.totals[w.BROKEN] == pytest.approx(plain.broken, rel=1e-9), seed
    assert value == pytest.approx(objective(inst, plain), rel=1e-9, abs=1e-6), seed

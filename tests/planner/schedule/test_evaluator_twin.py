"""The compiled evaluator and its slow, plain twin agree to the second and the cent."""

import random
from collections.abc import Iterator

import numpy as np
import pytest

from benchmarks.generator import small
from planner.schedule import timing as w
from planner.schedule.encode import compile_campaign
from planner.schedule.instance import NEVER, Instance, packed_instance
from planner.schedule.solution import Solution, objective_of
from planner.schedule.timing import Timing, timing_for
from tests.planner.schedule.plain.evaluate import carried_out, objective
from tests.planner.schedule.plain.workshop import CannotBeDone, Result
from tests.support.compound import cleaned

BLOCKS = 5
CAMPAIGNS_A_BLOCK = 20
PLANS_A_CAMPAIGN = 2


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
    draw.shuffle(solution.order)
    return solution


def evaluated_twice(inst: Instance, timing: Timing, seed: int, plans: int) -> Iterator[tuple[float, Result]]:
    """The objective of so many random plans and what the plain twin made of each, with `timing` as the plan left it.

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
        yield value, plain


@pytest.mark.parametrize("block", range(BLOCKS))
def test_evaluator_equals_its_plain_twin(block: int) -> None:
    """Five times twenty random campaigns, two random plans each: times to the second, money to the cent;
    `benchmarks.evaluator_twin` looks at as many as it is told.

    Every third campaign has a purging compound.
    """
    feasible = cleanings = 0
    for seed in range(block * CAMPAIGNS_A_BLOCK, (block + 1) * CAMPAIGNS_A_BLOCK):
        campaign = small(seed) if seed % 3 else cleaned(small(seed), seed)
        inst, _ = compile_campaign(campaign)
        timing = timing_for(inst)
        for value, plain in evaluated_twice(inst, timing, seed, PLANS_A_CAMPAIGN):
            feasible += 1
            assert value == pytest.approx(objective(inst, plain), rel=1e-9, abs=1e-6), seed
            for lot, what in plain.lots.items():
                row = timing.lots[lot]
                # the press is at it until its melt is cleared, where that must not stand
                until = what.end + int(inst.filled().closing_s[what.press, inst.lot_run[lot]])
                assert (row[w.PRESS], row[w.END]) == (what.press, until), (seed, lot)
                if what.changeover is None:
                    assert row[w.CO_START] == NEVER, (seed, lot)
                else:
                    assert (row[w.CO_START], row[w.CO_END]) == what.changeover, (seed, lot)
            assert timing.jobs[:, w.ENDED].tolist() == [plain.job_ends[j] for j in range(len(plain.job_ends))], seed
            assert timing.batches[:, w.ENDED].tolist() == [plain.batch_ends[b] for b in range(len(plain.pickups))], seed
            assert timing.batches[:, w.PICKUP].tolist() == [plain.pickups[b] for b in range(len(plain.pickups))], seed
            for column, line in (
                (w.PRESS_COST, "press"), (w.SETTER_COST, "setter"), (w.PURGE_COST, "purge"),
                (w.STARTUP_COST, "startup"), (w.LEFTOVER, "leftover"), (w.LATENESS, "lateness"),
            ):  # fmt: skip
                assert timing.totals[column] == pytest.approx(plain.lines[line], rel=1e-9, abs=1e-6), (seed, line)
            assert timing.totals[w.PURGE_TOTAL_KG] == pytest.approx(plain.purge_kg)
            assert timing.totals[w.STARTUP_TOTAL_KG] == pytest.approx(plain.startup_kg)
            cleanings += int(np.count_nonzero(timing.lots[:, w.WITH_COMPOUND]))
    assert cleanings > 0
    assert feasible >= CAMPAIGNS_A_BLOCK * PLANS_A_CAMPAIGN // 2

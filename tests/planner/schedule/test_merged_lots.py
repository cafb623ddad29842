"""Lots joined all at once are those that joining them one by one gives."""

import numpy as np
import pytest

from benchmarks.generator import sized
from planner.control import Unhurried
from planner.schedule import merge
from planner.schedule.encode import compile_campaign
from planner.schedule.instance import packed_instance
from planner.schedule.search import Budget, search
from planner.schedule.solution import objective_of, waiting
from planner.schedule.timing import timing_for


def one_by_one(inst, solution, allowed):
    """The plain way: from the earliest place on, each joined by itself and kept where the plan gets no dearer by it."""
    value = objective_of(packed_instance(inst), solution, timing_for(inst))
    kept = []
    for place in merge._neighbours(inst, solution):
        ours, order = merge._joined(inst, solution, [*kept, place])
        cost = objective_of(packed_instance(ours), order, timing_for(ours))
        if cost <= value + merge.SLACK * abs(value) and allowed(ours, order):
            kept.append(place)
    return merge._joined(inst, solution, kept), len(kept)


@pytest.mark.parametrize("odd", [False, True])
@pytest.mark.parametrize("seed", [1, 4, 5])
def test_all_at_once_is_one_by_one(seed, odd):
    """Also where some may not be joined: those that would leave an odd demand in fewer lots."""
    inst, _ = compile_campaign(sized("S", seed))
    found = search(inst, Budget(1, seed, 0.0, 0.0), Unhurried())
    lots = waiting(found.cut or inst, found.solution)
    before = np.bincount(lots.lot_run, minlength=inst.run_tool.size)

    def allowed(ours, _order):
        return not odd or bool((np.bincount(ours.lot_run, minlength=before.size)[1::2] == before[1::2]).all())

    (expected, order), joined = one_by_one(lots, found.solution, allowed)
    assert joined > 0
    ours, solution = merge.merged(lots, found.solution, allowed)
    assert (ours.lot_run == expected.lot_run).all()
    assert (ours.lot_shots == expected.lot_shots).all()
    assert (solution.seq == order.seq).all()
    assert ours.lot_run.size == lots.lot_run.size - joined

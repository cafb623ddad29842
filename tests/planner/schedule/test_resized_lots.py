"""Shots moved between lots of one demand whose order stays: as good as every way to size them."""

import json
from pathlib import Path

import numpy as np
import pytest

from planner.control import Unhurried
from planner.reading import read
from planner.schedule.encode import compile_campaign
from planner.schedule.instance import packed_instance
from planner.schedule.recut import resized
from planner.schedule.search import Budget, search
from planner.schedule.solution import Solution, objective_of
from planner.schedule.timing import timing_for

CORES = Path(__file__).resolve().parents[3] / "api" / "demo" / "situations" / "cores-from-elsewhere.json"
SMALLEST, STEP = 300, 7


@pytest.fixture(scope="module")
def found() -> tuple[object, Solution, float]:
    data = json.loads(CORES.read_text(encoding="utf-8"))
    data["tools"]["grip"]["smallest_lot_shots"] = SMALLEST
    inst, _ = compile_campaign(read(data))
    ended = search(inst, Budget(20, 1, 0.0), Unhurried())
    return ended.cut or inst, ended.solution, ended.objective


def _sized(inst, solution, sizes):
    shots = inst.lot_shots.astype(np.int64).copy()
    lots = [lot for press in solution.lots() for lot in press if inst.run_smallest[inst.lot_run[lot]]]
    shots[lots] = sizes
    return inst._replace(lot_shots=shots)


def test_shots_get_past_a_lot_that_is_at_its_smallest(found) -> None:
    """Three lots of grips: by a grid over all sizes, and by moving shots. So that the first ends where a batch has all
    its knobs, the second gives what it can and the third the rest."""
    inst, solution, objective = found
    grips = inst.lot_shots[inst.run_smallest[inst.lot_run] > 0]
    number = int(grips.sum())
    assert grips.size == 3
    room = timing_for(inst)
    best = min(
        objective_of(packed_instance(_sized(inst, solution, (a, b, number - a - b))), solution, room)
        for a in range(SMALLEST, number - 2 * SMALLEST, STEP)
        for b in range(SMALLEST, number - a - SMALLEST, STEP)
    )
    assert objective == pytest.approx(best, abs=1e-4)
    even = _sized(inst, solution, (425, 424, number - 849))
    value, changed = resized(even, solution, timing_for(even))
    assert value == pytest.approx(best, abs=1e-4)
    sizes = changed.lot_shots[changed.run_smallest[changed.lot_run] > 0]
    assert sizes.sum() == number
    assert sizes.min() == SMALLEST
    assert value < objective_of(packed_instance(even), solution, timing_for(even)) - 50

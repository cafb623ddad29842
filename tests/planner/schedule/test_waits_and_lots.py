"""Proofs cover waits on purpose, and lots are cut where batches ask for it: held against the plain twin."""

import random
from collections import Counter
from collections.abc import Iterator
from itertools import permutations
from math import inf

import numpy as np
import pytest

from benchmarks.floor_campaigns import floor_document
from benchmarks.small_campaigns import document
from planner.control import Unhurried
from planner.errors import CampaignProblems
from planner.reading import read
from planner.schedule.encode import compile_campaign
from planner.schedule.instance import NONE, Instance
from planner.schedule.lot_sizes import cut_in_all_ways, may_be_cut, most_lots, smallest_lots, ways_to_cut
from planner.schedule.search import Budget, search
from planner.schedule.solution import waiting
from planner.schedule.warm import smallest_instance
from tests.planner.schedule.brute_force import every_sequence
from tests.planner.schedule.plain.evaluate import carried_out, objective
from tests.planner.schedule.plain.workshop import CannotBeDone, Result

OPENINGS = 3
"""Next openings of its press that a lot may wait for, from the first after it would begin."""
WANTED = 12


def least(inst: Instance) -> float:
    """The least objective of all orders of lots, with every choice of waits, by the plain twin alone."""
    best = inf
    for sequence in every_sequence(inst):
        for order in permutations(range(inst.batch_work.size)):
            best = min(best, *_waits(inst, sequence, list(order), {}), inf)
    return best


def _waits(inst: Instance, sequence: list[list[int]], order: list[int], settled: dict[int, int]) -> Iterator[float]:
    """Settle lot by lot, in the order in which they begin, whether it waits and for which opening."""
    release = np.zeros(inst.lot_run.size, dtype=np.int64)
    for lot, moment in settled.items():
        release[lot] = moment
    changed = inst._replace(lot_release=release)
    try:
        result = carried_out(changed, sequence, order)
    except CannotBeDone:
        return
    open_ = [lot for lot in sorted(result.lots, key=lambda lot: _begin(result, lot)) if lot not in settled]
    if not open_:
        yield objective(changed, result)
        return
    lot = open_[0]
    press = next(p for p, lots in enumerate(sequence) if lot in lots)
    opens = [int(at) for at in inst.open_start[inst.open_ptr[press] : inst.open_ptr[press + 1]]]
    later = [at for at in opens if at > _begin(result, lot)][:OPENINGS]
    for moment in (0, *later):
        yield from _waits(inst, sequence, order, settled | {lot: moment})


def _begin(result: Result, lot: int) -> int:
    """When the lot takes its press; without a changeover, when its first shot is done: no opening lies between."""
    made = result.lots[lot]
    return made.changeover[0] if made.changeover else made.shots_done[0]


def short_of_hours(seed: int) -> Instance | None:
    """A few runs on presses open for some hours only, restarts dear, nothing promised: waiting may pay."""
    draw = random.Random(f"waits {seed}")
    data = document(draw, draw.randint(1, 3), draw.randint(1, 2), draw.randint(1, 2), draw.choice([60, 150]))
    for press in data["presses"].values():
        press |= {"restart_minutes": draw.choice([20, 45]), "rate_per_hour": 50}
        press["hours"] = draw.choice([{"mon-fri": "08:00-12:00"}, {"mon-fri": "08:00-11:00", "sat": "08:00-18:00"}])
    for tool in data["tools"].values():
        tool.pop("smallest_lot_shots", None)
        tool["startup_shots"] = draw.choice([10, 30])
    for tier in data["tiers"].values():
        tier |= {"late_cost_per_day": draw.choice([0, 0.01])}
    try:
        inst, _ = compile_campaign(read(data))
    except CampaignProblems:
        return None
    few = 1 <= inst.lot_run.size <= 3 and inst.batch_work.size <= 2 and inst.restart_s.size <= 2
    return inst._replace(run_smallest=NONE) if few else None


def test_no_plan_that_waits_undercuts_a_proof() -> None:
    """Where the search ends proven no order with any waits costs less; in some of them waiting pays."""
    seen: Counter[str] = Counter()
    for seed in range(400):
        if seen["campaigns"] == WANTED:
            break
        inst = short_of_hours(seed)
        if inst is None:
            continue
        best = least(inst)
        if best == inf:
            continue
        found = search(inst, Budget(4, 1, 0.0), Unhurried())
        assert found.ended == "proven", seed
        assert found.objective <= best + 2e-4, seed  # it may wait for openings further away
        told = waiting(inst, found.solution)
        assert objective(told, carried_out(told, found.solution.lots(), [*found.solution.order])) == pytest.approx(
            found.objective
        )
        seen["waits"] += found.solution.release is not None
        seen["campaigns"] += 1
    assert seen["campaigns"] == WANTED
    assert seen["waits"] >= 2, seen


def test_a_bound_that_is_met_proves_over_all_lots() -> None:
    """Bounds are of every way to cut the lots, so what may be cut is proven like what may not."""
    shots = np.array([10], dtype=np.int64)
    whole = smallest_instance()._replace(lot_shots=shots, run_shots=shots)
    for inst in (whole, whole._replace(run_smallest=shots // 2), whole._replace(run_smallest=shots // 2 + 1)):
        found = search(inst, Budget(1, 0, 0.0), Unhurried())
        assert (found.ended, found.rounds) == ("proven", 0)


def test_bounds_are_of_the_smallest_and_the_most_lots_there_may_be() -> None:
    shots = np.array([10, 7], dtype=np.int64)
    inst = smallest_instance()._replace(
        run_tool=np.zeros(2, dtype=np.int64),
        run_shots=shots,
        lot_run=np.array([0, 0, 1]),
        lot_shots=np.array([5, 5, 7]),
        run_smallest=np.array([3, 4]),
    )
    assert may_be_cut(inst).tolist() == [0]
    assert smallest_lots(inst).tolist() == [3, 7]
    assert most_lots(inst).tolist() == [3, 1]
    assert ways_to_cut(inst, 10) == [[[10], [3, 7], [3, 3, 4], [4, 6], [5, 5]]]
    assert ways_to_cut(inst, 4) is None
    cut = list(cut_in_all_ways(inst, [[[10], [4, 6]]]))
    assert [sorted(zip(one.lot_run.tolist(), one.lot_shots.tolist(), strict=True)) for one in cut] == [
        [(0, 10), (1, 7)],
        [(0, 4), (0, 6), (1, 7)],
    ]
    pinned = inst._replace(pinned=np.array([1]))  # five shots are fixed, the others are too few for two lots
    assert may_be_cut(pinned).size == 0


def test_a_demand_that_stays_whole_is_not_cut_otherwise() -> None:
    """RULES.md, R13: no lots of a melt that must not stand, whatever the tool's smallest lot."""
    seen: Counter[str] = Counter()
    for seed in range(60):
        data = floor_document(seed)
        for tool in data["tools"].values():
            tool["smallest_lot_shots"] = 1
        try:
            inst, _ = compile_campaign(read(data))
        except CampaignProblems:
            continue
        free = np.bincount(inst.lot_run[int(inst.pinned.sum()) :], minlength=inst.run_tool.size)
        assert set(may_be_cut(inst)) == set(np.flatnonzero(free > 1)), seed
        seen["cut"] += int((inst.run_smallest > 0).sum())
        seen["whole"] += int((inst.run_smallest == 0).sum())
    assert min(seen["cut"], seen["whole"]) > 5, seen

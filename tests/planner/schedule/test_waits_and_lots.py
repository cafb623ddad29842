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
from planner.schedule.recut import may_be_cut
from planner.schedule.search import Budget, search
from planner.schedule.solution import waiting
from planner.schedule.warm import smallest_instance
from tests.planner.schedule.plain_twin import CannotBeDone, Result, carried_out, objective
from tests.planner.schedule.test_bounds_and_proof import every_sequence

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
        inst = short_of_hours(seed)
        if inst is None or seen["campaigns"] == WANTED:
            continue
        best = least(inst)
        if best == inf:
            continue
        found = search(inst, Budget(4, 1, 0.0), Unhurried())
        assert found.ended == "proven", seed
        assert found.objective == pytest.approx(best, rel=1e-9, abs=2e-4), seed
        told = waiting(inst, found.solution)
        assert objective(told, carried_out(told, found.solution.lots(), [*found.solution.order])) == pytest.approx(
            found.objective
        )
        seen["waits"] += found.solution.release is not None
        seen["campaigns"] += 1
    assert seen["campaigns"] == WANTED
    assert seen["waits"] >= 2, seen


def test_what_may_be_cut_otherwise_is_not_called_proven_by_a_bound_either() -> None:
    """Bounds are of the lots as they were first cut; as whole runs the same campaign is proven at once."""
    shots = np.array([10], dtype=np.int64)
    whole = smallest_instance()._replace(lot_shots=shots, run_shots=shots)
    found = search(whole, Budget(1, 0, 0.0), Unhurried())
    assert (found.ended, found.rounds) == ("proven", 0)
    divisible = search(whole._replace(run_smallest=shots // 2), Budget(1, 0, 0.0), Unhurried())
    assert divisible.ended == "budget used"
    assert divisible.objective == found.objective
    assert divisible.bound_basis != found.bound_basis
    too_small = search(whole._replace(run_smallest=shots // 2 + 1), Budget(1, 0, 0.0), Unhurried())
    assert too_small.ended == "proven"


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

"""Steps to a neighbour: every lot and batch stays, once, where it may stand; a step changes what it says it did."""

import numpy as np
import pytest

from benchmarks.plain_workshop import workshop
from planner.schedule import timing as w
from planner.schedule.delta_tables import AT_PLACE, AT_PRESS, DeltaTables, delta_tables_for
from planner.schedule.instance import Instance, Ints, packed_instance
from planner.schedule.jit import entry
from planner.schedule.moves import NOTHING, clean, move_batches, move_lots, move_together, rank_by_start
from planner.schedule.rng import State, seeded
from planner.schedule.sequences import Sequences
from planner.schedule.solution import Solution
from planner.schedule.timing import timing_for

RUNS, PRESSES = 9, 3
SECONDS = [[5 if (p, r) != (2, 0) and r < RUNS - p else -1 for r in range(RUNS)] for p in range(PRESSES)]
"""The last run fits the first press alone, the one before it the first two; the first does not fit the third."""
HEAD = [2, 5]
"""Lots that are begun on the first press."""


@entry
def _step(inst: Instance, plan: Sequences, delta: DeltaTables, scratch: Ints, rng: State) -> int:
    return move_lots(inst, plan, delta, scratch, rng)


@entry
def _together(inst: Instance, plan: Sequences, delta: DeltaTables, scratch: Ints, rng: State) -> bool:
    return move_together(inst, plan, delta.wants, scratch, rng)


@entry
def _re_rank(order: Ints, scratch: Ints, rng: State) -> bool:
    return move_batches(order, scratch, rng)


@entry
def _by_start(inst: Instance, lots: Ints, order: Ints, begins: Ints, key: Ints) -> None:
    rank_by_start(inst, lots, order, begins, key)


@entry
def _is_clean(inst: Instance, plan: Sequences, p: int) -> bool:
    return clean(inst, plan, p)


def begun(late: int = 0) -> tuple[Instance, Solution, DeltaTables]:
    """Nine runs, four orders that wait for two or three of them, two lots that are begun; some orders late."""
    inst = workshop(SECONDS, needs=[[0, 1, 6], [2, 3, 7], [4, 5], [6, 8]])
    inst = inst._replace(pinned=np.array([len(HEAD), 0, 0]), lot_release=np.zeros(0, np.int64))
    plan = Solution.empty(inst)
    for lot in [*HEAD, 7, 8, 0]:
        plan.append(0, lot)
    for lot in (1, 3):
        plan.append(1, lot)
    for lot in (4, 6):
        plan.append(2, lot)
    delta = delta_tables_for(inst, 1000.0)
    delta.late[0] = late
    half = 1 + (delta.late.size - 1) // 2
    for n in range(late):  # the lots that they wait for
        delta.late[1 + n], delta.late[half + n] = n, (8, 6)[n]
    return inst, plan, delta


def note(plan: Solution, delta: DeltaTables) -> None:
    """Where each lot stands."""
    for p, lots in enumerate(plan.lots()):
        for n, lot in enumerate(lots):
            delta.lots[lot, AT_PRESS], delta.lots[lot, AT_PLACE] = p, n


@pytest.mark.parametrize("late", [0, 2])
def test_steps_keep_every_lot_where_it_fits_behind_what_is_begun(late: int) -> None:
    """Two thousand from random plans: on one press and over two, one lot and several, and some that lead nowhere."""
    inst, plan, delta = begun(late)
    packed, rng, scratch = packed_instance(inst), seeded(5), np.zeros(RUNS, np.int64)
    changed, longest = dict.fromkeys([NOTHING, *range(PRESSES * PRESSES)], 0), 0
    for _ in range(2000):
        note(plan, delta)
        before = plan.lots()
        said = _step(packed, plan.packed(), delta, scratch, rng)
        after = plan.lots()
        changed[said] += 1
        assert sorted(lot for lots in after for lot in lots) == list(range(RUNS))
        assert all(inst.fits[p, inst.lot_run[lots]].all() for p, lots in enumerate(after))
        assert after[0][: len(HEAD)] == HEAD
        touched = {p for p in range(PRESSES) if before[p] != after[p]}
        assert touched <= ({said // PRESSES, said % PRESSES} if said != NOTHING else set())
        assert touched or said == NOTHING or said // PRESSES == said % PRESSES
        longest = max(longest, *(len(lots) for lots in after))
    assert min(changed.values()) > 0, "every pair of presses, and nothing at times"
    assert longest == RUNS - sum(not inst.fits[0, run] for run in range(RUNS))


def test_lots_of_one_batch_are_put_before_those_of_another_or_behind_them() -> None:
    """On each press that holds some of the other's; what stands there besides keeps its order."""
    inst, first, delta = begun()
    packed, rng, scratch = packed_instance(inst), seeded(1), np.zeros((2, RUNS), np.int64)
    wants = [{0, 1, 6}, {2, 3, 7}, {4, 5}, {6, 8}]
    moved = 0
    for _ in range(300):
        plan = first.copy()
        if not _together(packed, plan.packed(), delta, scratch, rng):
            assert plan.lots() == first.lots()
            continue
        after = plan.lots()
        assert [sorted(lots) for lots in after] == [sorted(lots) for lots in first.lots()]
        assert after[0][: len(HEAD)] == HEAD
        ways = []
        for b in range(4):
            for c in range(4):
                free = [lots[len(HEAD) :] if p == 0 else lots for p, lots in enumerate(after)]
                sides = [
                    (
                        [n for n, lot in enumerate(lots) if lot in wants[b]],
                        [n for n, lot in enumerate(lots) if lot in wants[c] - wants[b]],
                    )
                    for lots in free
                ]
                met = [(mine, theirs) for mine, theirs in sides if mine and theirs]
                before = all(max(mine) < max(theirs) for mine, theirs in met)
                ways.append(b != c and (before or all(min(mine) > min(theirs) for mine, theirs in met)))
        assert any(ways)
        moved += after != first.lots()
    assert moved > 20


@pytest.mark.parametrize("size", [1, 2, 3, 12])
def test_batches_are_moved_in_a_row(size: int) -> None:
    """One, or some in a row, to another place: taken out of the order, both orders are the same."""
    rng, scratch, reached, rows = seeded(size), np.zeros(size, np.int64), set(), set()
    for _ in range(600):
        order = np.arange(size)
        moved = _re_rank(order, scratch, rng)
        assert moved == (order.tolist() != list(range(size)))
        if moved:
            places = np.flatnonzero(order != np.arange(size))
            low, high = int(places[0]), int(places[-1]) + 1
            turns = [np.roll(np.arange(low, high), n).tolist() for n in range(1, high - low)]
            assert order[low:high].tolist() in turns, "two rows exchanged and nothing else"
            reached.add((low, high))
            rows.add(turns.index(order[low:high].tolist()) + 1)
    assert reached == ({(a, b) for a in range(size) for b in range(a + 2, size + 1)} if size < 12 else reached)
    assert len(rows) >= min(size - 1, 8), "as many in a row as there may be"


def test_orders_are_ranked_by_the_last_run_they_wait_for() -> None:
    """By when that begins; where it is the same they stay as they were."""
    inst, _, _ = begun()
    lots = timing_for(inst).lots
    lots[:, w.ORDER] = -1
    for n, lot in enumerate(range(RUNS)):
        lots[n, w.ORDER], lots[lot, w.LOT] = lot, lot
        lots[lot, w.START] = [10, 20, 5, 5, 1, 2, 30, 30, 4][lot]
    begins, key = np.zeros(RUNS, np.int64), np.zeros(4, np.int64)
    order = np.array([1, 0, 3, 2])
    _by_start(packed_instance(inst), lots, order, begins, key)
    assert key.tolist() == [30, 30, 2, 30]
    assert order.tolist() == [2, 1, 0, 3]


def test_two_that_must_never_meet_are_found_wherever_they_stand() -> None:
    inst, plan, _ = begun()
    clash = np.zeros((RUNS, RUNS), np.bool_)
    for one, other, meet in ((7, 0, True), (0, 7, True), (7, 3, False), (5, 0, True), (1, 4, False)):
        clash[:] = False
        clash[one, other] = clash[other, one] = True
        own = packed_instance(inst._replace(clash=clash.copy()))
        assert _is_clean(own, plan.packed(), 0) == (not meet)

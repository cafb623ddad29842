"""What going through all plans finds is taken over by the search."""

import numpy as np
import pytest

from benchmarks.plain_workshop import least_makespan, workshop
from planner.control import Unhurried
from planner.schedule.branch_and_bound import exact
from planner.schedule.branch_and_bound.exact import Exact, exhaust
from planner.schedule.encode import aimed
from planner.schedule.instance import packed_instance
from planner.schedule.search import LEAVES_OF_EQUALS, Budget, search
from planner.schedule.solution import Solution, objective_of
from planner.schedule.timing import timing_for


def test_a_poor_start_is_replaced_by_the_best_of_all_plans() -> None:
    """Five jobs on two presses, all on one press at first: the best split is found and proven."""
    inst = least_makespan(workshop([[3, 5, 7, 4, 6], [4, 4, 9, 3, 7]]))
    arrays, timing = packed_instance(inst), timing_for(inst)
    poor = Solution.empty(inst)
    for j in range(5):
        poor.append(0, j)
    known = Exact(poor, objective_of(arrays, poor, timing), False)
    found = exhaust(inst, timing, known, Unhurried())
    # 3 + 4 + 6 on one, 4 + 9 on the other: no split ends before 13, for all five take at least 25 together
    assert (known.value, found.value, found.proven) == (25.0, 13.0, True)
    assert objective_of(arrays, found.best, timing) == found.value
    assert np.sort(np.concatenate([np.array(lots) for lots in found.best.lots()])).tolist() == [0, 1, 2, 3, 4]


def test_it_gives_up_after_so_many_orders_of_all_runs() -> None:
    """With the best so far and nothing said of the rest."""
    inst = least_makespan(workshop([[3, 5, 7, 4, 6], [4, 4, 9, 3, 7]]))
    poor = Solution.empty(inst)
    for j in range(5):
        poor.append(0, j)
    timing = timing_for(inst)
    known = Exact(poor, objective_of(packed_instance(inst), poor, timing), False)
    found = exhaust(inst, timing, known, Unhurried(), leaves=1)
    assert (found.proven, found.bound) == (False, -np.inf)
    assert 13.0 <= found.value <= known.value


class Late(Unhurried):
    """The budget was over before anything began."""

    def seconds_left(self) -> float:
        return 0.0


def test_where_no_time_is_left_nothing_is_gone_through() -> None:
    """It went on to the end of the tree, minutes long where batches may leave in many ways: no time left is not less
    than a share of none."""
    inst = least_makespan(workshop([[3, 5, 7, 4, 6], [4, 4, 9, 3, 7]]))
    poor = Solution.empty(inst)
    for j in range(5):
        poor.append(0, j)
    timing = timing_for(inst)
    known = Exact(poor, objective_of(packed_instance(inst), poor, timing), False)
    found = exhaust(inst, timing, known, Late())
    assert (found.proven, found.value, found.bound) == (False, known.value, -np.inf)


def test_where_what_is_aimed_at_is_proven_few_of_its_equals_are_gone_into(monkeypatch: pytest.MonkeyPatch) -> None:
    """Six jobs that end with one pick-up in hundreds of orders, of which the mean dispatch tells them apart."""
    seen: list[int] = []
    leaf = exact._Branching._leaf

    def counted(branching: exact._Branching, sequences: list[list[int]]) -> None:
        seen.append(1)
        leaf(branching, sequences)

    monkeypatch.setattr(exact._Branching, "_leaf", counted)
    draw = np.random.default_rng(1)
    inst = aimed(
        least_makespan(
            workshop(
                draw.integers(5, 30, (2, 6)).tolist(),
                setups=draw.integers(1, 25, (2, 6, 6)).tolist(),
                first=draw.integers(1, 25, (2, 6)).tolist(),
            )
        ),
        "soonest",
    )
    found = search(inst, Budget(20, 1, 0.0), Unhurried())
    assert (found.ended, found.aim is not None and found.aim.gap) == ("proven", 0.0)
    assert len(seen) == LEAVES_OF_EQUALS
    monkeypatch.setattr("planner.schedule.search.LEAVES_OF_EQUALS", np.inf)
    assert search(inst, Budget(20, 1, 0.0), Unhurried()).objective == found.objective
    assert len(seen) > 5 * LEAVES_OF_EQUALS

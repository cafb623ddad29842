"""What going through all plans finds is taken over by the search."""

import numpy as np

from benchmarks.plain_workshop import least_makespan, workshop
from planner.control import Unhurried
from planner.schedule.branch_and_bound.exact import Exact, exhaust
from planner.schedule.instance import packed_instance
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

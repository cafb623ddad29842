"""People who stay at a press (R26), one place's row at a time: whoever is free first goes, the row stays in order."""

import random

import numpy as np

from planner.schedule.instance import Instance, packed_instance
from planner.schedule.jit import entry
from planner.schedule.press_operators import keep_operators, operators_free
from planner.schedule.timing import Timing, timing_for
from planner.schedule.warm import smallest_instance


@entry
def _kept(inst: Instance, timing: Timing, until: int) -> int:
    """By the first run at the first press; when they were free for it."""
    free = operators_free(inst, timing, 0, 0)
    keep_operators(inst, timing, 0, 0, until)
    return free


def test_those_who_are_free_first_stay_and_the_others_are_left_alone() -> None:
    """Of one to six people, some of whom get free again before those who stay are: the row is theirs put in order, and
    neither the row before it nor the one behind it changes."""
    inst = smallest_instance()
    for seed in range(200):
        draw = random.Random(seed)
        there, before, behind = draw.randint(1, 6), draw.randint(0, 3), draw.randint(0, 3)
        many = draw.randint(1, there)
        rows = [sorted(draw.randint(0, 40) for _ in range(size)) for size in (before, there, behind)]
        until = rows[1][many - 1] + draw.randint(1, 30)
        one = inst._replace(
            tended=1,
            operators=before + there + behind,
            run_operators=np.array([many]),
            operator_first=np.array([before]),
            operator_last=np.array([before + there]),
        )
        timing = timing_for(one)
        timing.operators[:] = [*rows[0], *rows[1], *rows[2]]
        assert _kept(packed_instance(one), timing, until) == rows[1][many - 1]
        left = sorted([*rows[1][many:], *[until] * many])
        assert timing.operators.tolist() == [*rows[0], *left, *rows[2]], (seed, rows, many, until)


def test_a_run_that_asks_for_nobody_changes_nothing() -> None:
    """Nor does any where there are always enough."""
    nobody = np.zeros(1, dtype=np.int64)
    inst = smallest_instance()._replace(
        tended=1, operators=2, run_operators=nobody, operator_first=nobody, operator_last=nobody + 2
    )
    timing = timing_for(inst)
    timing.operators[:] = [5, 9]
    assert _kept(packed_instance(inst), timing, 30) == 0
    assert timing.operators.tolist() == [5, 9]

"""The assignment of the only press: what it leaves out, no cheaper plan has; what it patches together is a plan."""

from itertools import pairwise, permutations

import numpy as np
import pytest
from scipy.optimize import linear_sum_assignment

from benchmarks.plain_workshop import tour
from planner.control import Unhurried
from planner.schedule.bounds.changeovers import least_changeovers
from planner.schedule.bounds.lower_bound import Solvers, thought
from planner.schedule.bounds.one_press import OnePress
from planner.schedule.bounds.press_hours import beforehand
from planner.schedule.instance import Instance
from planner.schedule.search import Budget, search

PLACES = 6


def drawn(seed: int) -> tuple[list[list[int]], Instance, int]:
    """Random distances, some of which break the triangle inequality, as a press's colour order."""
    distances = np.random.default_rng(seed).integers(1, 60, (PLACES, PLACES)).tolist()
    return distances, *tour(distances)


def every_tour(distances: list[list[int]]) -> list[tuple[int, list[int]]]:
    """(length, places in order) of every tour from the first place: lots are the other places, then the first again."""
    found = []
    for others in permutations(range(1, PLACES)):
        way = [0, *others, 0]
        found.append((sum(distances[a][b] for a, b in pairwise(way)), [*(o - 1 for o in others), PLACES - 1]))
    return found


@pytest.mark.parametrize("seed", range(12))
def test_its_value_is_the_cheapest_assignment_of_the_distances(seed: int) -> None:
    """As SciPy's own solver finds it: each place has one before it and one behind it."""
    distances, inst, shots = drawn(seed)
    cost = np.array(distances, dtype=float)
    np.fill_diagonal(cost, 1e6)
    before, behind = linear_sum_assignment(cost)
    assert OnePress(inst, least_changeovers(inst)).value == pytest.approx(cost[before, behind].sum() + shots, abs=1e-3)


@pytest.mark.parametrize("seed", range(12))
def test_no_tour_shorter_than_a_known_one_has_a_changeover_that_was_left_out(seed: int) -> None:
    """Held against every tour, for each length of a known one."""
    distances, inst, shots = drawn(seed)
    only = OnePress(inst, least_changeovers(inst))
    tours = every_tour(distances)
    assert only.value <= min(length for length, _ in tours) + shots + 1e-6
    left_out = 0
    for known in sorted({length for length, _ in tours})[:20]:
        needless = only.needless(float(known + shots))
        left_out += int(needless.sum())
        for length, lots in tours:
            if length < known:
                assert not any(needless[a, b] for a, b in pairwise([PLACES, *lots]))
    assert left_out > 0


@pytest.mark.parametrize("seed", range(12))
def test_the_bound_without_what_was_left_out_is_the_shortest_tour(seed: int) -> None:
    """The exact solver proves it, and the patched order is one row of all lots that ends where the tour must."""
    distances, inst, shots = drawn(seed)
    shortest = min(length for length, _ in every_tour(distances))
    order = OnePress(inst, least_changeovers(inst)).order()
    assert order is not None
    assert sorted(order) == list(range(PLACES))
    assert order[-1] == PLACES - 1
    known = beforehand(inst)
    for better, _ in thought(inst, known, 2.0, Solvers()):
        assert known.total <= better.total <= shortest + shots + 1e-6
        known = better
    assert known.total == pytest.approx(shortest + shots, abs=0.01)
    found = search(inst, Budget(2, 1, 0.0), Unhurried())
    assert found.ended == "proven"
    assert found.objective == pytest.approx(shortest + shots, abs=1e-6)

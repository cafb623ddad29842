"""A plan keeps no more cores busy than it may: counted in threads while it searches."""

import threading
from math import inf

import pytest

from benchmarks.generator import sized
from planner.control import Progress
from planner.planning.make import make_plan
from planner.schedule.bounds.background import BackgroundBound
from planner.schedule.bounds.lower_bound import beforehand
from planner.schedule.encode import compile_campaign


class Counting:
    """Time that passes with every look at the clock; counts the threads that are there whenever the search looks."""

    def __init__(self, cores: int) -> None:
        self.given, self.looks = cores, 0
        self.before = threading.active_count()
        self.most_in_search = 0

    def should_stop(self) -> bool:
        return False

    def seconds_left(self) -> float:
        self.looks += 1
        if self.looks > 1:
            self.most_in_search = max(self.most_in_search, threading.active_count() - self.before)
        return max(0.0, 4.0 - 0.05 * self.looks)

    def cores(self) -> int:
        return self.given

    def report(self, _progress: Progress) -> None:
        return None


@pytest.mark.parametrize(("cores", "beside"), [(1, 0), (2, 1)])
def test_the_search_has_company_only_where_there_is_a_core_for_it(cores, beside):
    """On one core the bound is worked out before the search; both ways there is one at the end."""
    control = Counting(cores)
    plan = make_plan(sized("S", 1), control)
    assert control.looks > 20
    assert control.most_in_search == beside
    assert plan.outcome.lower_bound > 0


def test_a_bound_worked_out_before_the_search_is_stopped_at_once():
    """Whoever waits for it goes on listening: an hour's effort ends with the first stop."""
    inst, _ = compile_campaign(sized("S", 1))
    asked = []

    def should_stop() -> bool:
        asked.append(True)
        return True

    before = BackgroundBound(inst, beforehand(inst), 3600.0, lambda: inf)
    before.awaited(should_stop)
    assert 1 <= len(asked) < 50

"""A plan keeps no more cores busy than it may: counted in threads while it searches."""

import threading
from collections.abc import Callable
from dataclasses import replace
from math import inf

import pytest

from benchmarks.generator import sized
from planner.control import Progress
from planner.planning.make import make_plan
from planner.schedule import search as searching
from planner.schedule.bounds.background import BackgroundBound, Better
from planner.schedule.bounds.press_hours import LowerBound, beforehand
from planner.schedule.encode import compile_campaign
from planner.schedule.instance import Instance
from planner.schedule.search import Budget, search
from tests.planner.plan.test_cases import case


class Counting:
    """Time that passes with every look at the clock; counts the threads that are there whenever the search looks."""

    def __init__(self, cores: int, seconds: float = 4.0) -> None:
        self.given, self.seconds, self.looks = cores, seconds, 0
        self.before = threading.active_count()
        self.most_in_search = 0

    def should_stop(self) -> bool:
        return False

    def seconds_left(self) -> float:
        self.looks += 1
        if self.looks > 1:
            self.most_in_search = max(self.most_in_search, threading.active_count() - self.before)
        return max(0.0, self.seconds - 0.05 * self.looks)

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


class Late:
    """A bound beside the search that is there only once it is waited for."""

    total = 0.0

    def __init__(
        self, _inst: Instance, known: LowerBound, _effort: float, _best: Callable[[], float], _patient: bool
    ) -> None:
        self.known = known

    def arrived(self) -> None:
        return None

    def finished(self) -> bool:
        return False

    def awaited(self, over: Callable[[], bool]) -> Better | None:
        assert not over()
        return replace(self.known, total=self.total, basis="as was waited for"), None

    def stop(self) -> None:
        return None


def test_a_search_that_has_gone_through_everything_waits_for_the_bound_beside_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Not all lots there may be were gone through: only the bound can prove it, and is what the proof rests on."""
    monkeypatch.setattr(searching, "BackgroundBound", Late)
    inst, _ = compile_campaign(case("wrong_bound_lots"))
    inst = inst._replace(fixed_cost=inst.fixed_cost - 900.0)  # a cent is a cent of little money too (G1)
    open_ = search(inst, Budget(None, 1, 0.0), Counting(2, 60.0))
    assert open_.ended == "budget used"
    for below, ended in ((0.0, "proven"), (0.009, "proven"), (0.25, "budget used")):
        monkeypatch.setattr(Late, "total", open_.cost - below)
        found = search(inst, Budget(None, 1, 0.0), Counting(2, 60.0))
        assert (found.cost, found.ended, found.bound_basis) == (open_.cost, ended, "as was waited for")
        assert found.bound == pytest.approx(found.cost - below, abs=1e-6)

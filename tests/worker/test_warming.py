"""While a worker compiles it says so, and only then."""

import time

import numpy as np
import pytest

from planner.schedule.jit import nb, told_of_building
from tests.planner_double import make_plan
from worker.compiling import mark_in
from worker.warming import warm_up


def test_the_mark_stands_while_something_is_built(tmp_path):
    """Whoever waits for the service reads it; a worker that finds all built leaves none."""
    seen = []

    def compile_all(building):
        seen.append(mark_in(tmp_path).exists())
        building()
        seen.append(mark_in(tmp_path).exists())

    warm_up(make_plan, tmp_path, compile_all)
    assert seen == [False, True]
    assert not mark_in(tmp_path).exists()


def test_how_long_it_took_is_logged(tmp_path, caplog):
    """Seconds of this warming, not of the machine."""
    begun = time.monotonic()
    with caplog.at_level("INFO"):
        warm_up(make_plan, tmp_path)
    told = float(caplog.messages[-1].removeprefix("warm after ").removesuffix(" s"))
    assert 0 <= told <= time.monotonic() - begun + 0.1


def test_the_mark_goes_when_building_fails(tmp_path):
    def compile_all(building):
        building()
        raise MemoryError

    with pytest.raises(MemoryError):
        warm_up(make_plan, tmp_path, compile_all)
    assert not mark_in(tmp_path).exists()


def test_building_is_told_once_and_a_call_of_what_is_built_is_not():
    told = []

    def doubled(values):
        return values[0] * 2

    built = nb.njit(doubled)
    with told_of_building(lambda: told.append(1)):
        built(np.ones(1))
        built(np.ones(1, dtype=np.int64))
    assert told == [1]
    with told_of_building(lambda: told.append(2)):
        built(np.ones(1))
    assert told == [1]

"""Reasons name what binds."""

import numpy as np

from benchmarks.plain_workshop import workshop
from planner.control import Unhurried
from planner.schedule.reasons import loads, waits, worth
from planner.schedule.search import Budget, search
from planner.schedule.solution import objective_of
from planner.schedule.tape import tape
from planner.schedule.timing import timing_for


def test_the_busiest_press_is_named() -> None:
    """With everything on one press, that press is the bottleneck: busy all the time it was open."""
    inst = workshop([[100, 200, 300]])
    found = search(inst, Budget(1, 1, 0.0), Unhurried())
    timing = timing_for(inst)
    objective_of(tape(inst), found.solution, timing)
    first = loads(inst, timing)[0]
    assert (first.kind, first.index, first.share) == ("press", 0, 1.0)


def test_a_run_that_waits_for_its_tool_says_so() -> None:
    """A tool ready late is what the run waits for, until its day."""
    inst = workshop([[100]], horizon=300)._replace(tool_ready=np.array([77]))
    found = search(inst, Budget(1, 1, 0.0), Unhurried())
    timing = timing_for(inst)
    objective_of(tape(inst), found.solution, timing)
    wait = waits(inst, timing)[0]
    assert (wait.lot, wait.waited_for, wait.since, wait.until) == (0, "ready", 0, 77)


def test_one_more_setter_is_worth_what_waiting_costs() -> None:
    """Two presses, one setter, a late fee a second: a second setter saves the second press's wait."""
    inst = workshop([[10, -1], [-1, 10]], due=[0, 0], late=[1.0, 1.0], horizon=500)._replace(
        setters=1, mount_s=np.array([40, 40])
    )
    found = search(inst, Budget(1, 1, 0.0), Unhurried())
    best = worth(inst, found.solution, rounds=1, seed=1, control=Unhurried())[0]
    assert (best.kind, best.saves, best.sooner_s) == ("setter", 40.0, 40)

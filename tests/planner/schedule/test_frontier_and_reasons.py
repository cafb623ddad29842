"""The trade-off list holds only unbeaten plans; reasons name what binds."""

from functools import cache
from itertools import pairwise

import numpy as np

from benchmarks.generator import sized
from benchmarks.plain_workshop import workshop
from planner.control import Unhurried
from planner.schedule import timing as w
from planner.schedule.compiled import compile_campaign
from planner.schedule.frontier import trade_offs
from planner.schedule.instance import Instance
from planner.schedule.reasons import loads, waits, worth
from planner.schedule.search import Budget, search
from planner.schedule.solution import objective_of
from planner.schedule.tape import tape
from planner.schedule.timing import timing_for


@cache
def _campaign() -> Instance:
    return compile_campaign(sized("XS", 5))[0]


def test_the_list_trades_kilograms_for_days() -> None:
    """From least waste to soonest: waste rises, the last dispatch comes nearer, no plan beats another in both."""
    plans = trade_offs(_campaign(), rounds=2, seed=1, control=Unhurried())
    assert plans
    for one, other in pairwise(plans):
        assert other.waste_kg > one.waste_kg
        assert other.last_dispatch < one.last_dispatch
    timing = timing_for(_campaign())
    for plan in plans:
        objective_of(tape(_campaign()), plan.solution, timing)
        assert timing.totals[w.LAST] == plan.last_dispatch
        assert timing.totals[w.PURGE_TOTAL_KG] == plan.purge_kg


def test_two_colour_orders_make_a_real_choice() -> None:
    """Cheap in kilograms on one press or quick on two: both plans are on the list."""
    inst = workshop([[50_000] * 2] * 2, horizon=200_000)
    day = 86_400
    inst = inst._replace(
        purge_kg=np.ones_like(inst.purge_kg) * 0.5, waste_cost_kg=np.ones(3),
        press_melt=np.array([[0, -1], [2, -1]]), pickup_t=np.array([day, 2 * day]), pickup_day=np.array([1, 2]),
        press_cost_s=np.zeros(2),
    )  # fmt: skip
    # press 1 holds a melt that purges dearly; both runs on press 0 take a day longer
    kg = inst.purge_kg.copy()
    kg[1, 0, 2, :] = 8.0
    plans = trade_offs(inst._replace(purge_kg=kg), rounds=2, seed=1, control=Unhurried())
    assert [(p.waste_kg, p.last_dispatch) for p in plans] == [(0.5, 2 * day), (8.0, day)]


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

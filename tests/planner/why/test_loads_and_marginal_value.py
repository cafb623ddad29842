"""Loads, waits and worth on workshops small enough to know the answer."""

import numpy as np

from benchmarks.generator import small
from benchmarks.plain_workshop import workshop
from planner.control import Unhurried
from planner.schedule import timing as w
from planner.schedule.encode import compile_campaign
from planner.schedule.instance import NEVER, Instance, packed_instance
from planner.schedule.search import Budget, NoPlan, search
from planner.schedule.solution import Solution, objective_of
from planner.schedule.timing import Timing, timing_for
from planner.why.chains import Chains
from planner.why.loads import hands_until, loads, waits
from planner.why.marginal_value import marginal_values
from planner.why.starts import causes, restarts_kg, taken_kg
from tests.support.compound import cleaned


def planned(inst: Instance) -> tuple[Solution, Timing]:
    found = search(inst, Budget(1, 1, 0.0), Unhurried())
    timing = timing_for(inst)
    objective_of(packed_instance(inst), found.solution, timing)
    return found.solution, timing


def test_the_busiest_press_is_named() -> None:
    """With everything on one press, that press is the bottleneck: busy all the time it was open."""
    inst = workshop([[100, 200, 300]])
    first = loads(inst, planned(inst)[1])[0]
    assert (first.kind, first.index, first.share) == ("press", 0, 1.0)


def test_hands_are_counted_until_the_moment_and_not_beyond() -> None:
    """50 s open before it and 20 of the next opening, with two and three people; what opens later counts nothing."""
    opens, closes = np.array([0, 80, 200]), np.array([50, 150, 300])
    assert hands_until(opens, closes, 100) == 70
    assert hands_until(opens, closes, 100, np.array([2, 3, 4])) == 160


def test_a_run_that_waits_for_its_tool_says_so() -> None:
    """A tool ready late is what the run waits for, until its day; and the chain of its batch begins with that wait."""
    inst = workshop([[100]], horizon=300)._replace(tool_ready=np.array([77]))
    _, timing = planned(inst)
    wait = waits(inst, timing)[0]
    assert (wait.lot, wait.waited_for, wait.since, wait.until) == (0, "ready", 0, 77)
    chain = Chains(inst, timing, causes(inst, timing)).of(0)
    assert [(link.kind, link.since, link.until) for link in chain] == [("run", 77, 177), ("tool ready", 0, 77)]


def test_lots_take_what_the_schedule_used() -> None:
    """Melt, purges either way, compound and restarts: a wait for material is told by the same kilograms."""
    with_compound = 0
    for seed in range(300, 318):
        inst, _ = compile_campaign(cleaned(small(seed), seed))
        try:
            _, timing = planned(inst)
        except NoPlan:
            continue
        kg = sum(
            taken_kg(inst, timing, lot, timing.lots[lot, w.CO_START] != NEVER) + restarts_kg(inst, timing, lot)
            for lot in range(inst.lot_run.size)
        )
        np.testing.assert_allclose(kg, timing.used_kg, rtol=1e-9, atol=1e-9)
        with_compound += timing.lots[:, w.WITH_COMPOUND].any()
    assert with_compound >= 5


def test_the_chain_goes_through_the_run_before() -> None:
    """The second run's batch waits for the press, that for the first run; the first run's batch for nothing else."""
    inst = workshop([[30, 50]])
    solution, timing = planned(inst)
    first, second = (int(inst.lot_run[lot]) for lot in solution.lots()[0])
    chains = Chains(inst, timing, causes(inst, timing))
    assert [link.kind for link in chains.of(first)] == ["run"]
    assert [(link.kind, inst.lot_run[link.number]) for link in chains.of(second)] == [("run", second), ("run", first)]


def test_one_more_setter_is_worth_what_waiting_costs() -> None:
    """Two presses, one setter, a late fee a second: a second setter saves the second press's wait, 40 s of 80 s set."""
    inst = workshop([[10, -1], [-1, 10]], due=[0, 0], late=[1.0, 1.0], horizon=500)._replace(
        setters=1, mount_s=np.array([40, 40])
    )
    best = marginal_values(inst, *planned(inst))[0]
    assert (best.kind, best.saves, best.sooner_s) == ("setter", 40.0, 40)
    assert best.hours == 80 / 3600


def test_another_place_has_setters_of_its_own() -> None:
    """As above, and a third press elsewhere that its own setter sets up. Its setter's being idle does not let our
    second press begin: it waits for ours, and one more is ours."""
    inst = workshop([[10, -1, -1], [-1, 10, -1], [-1, -1, 10]], due=[0, 0, 0], late=[1.0, 1.0, 1.0], horizon=500)
    inst = inst._replace(
        setters=2,
        elsewhere=1,
        setter_first=np.array([0, 0, 1]),
        setter_last=np.array([1, 1, 2]),
        mount_s=np.full(3, 40),
    )
    solution, timing = planned(inst)
    (wait,) = [wait for wait in waits(inst, timing) if wait.waited_for == "setter"]
    held_up = [(one.of, one.until) for one in causes(inst, timing)[wait.lot] if one.kind == "setter"]
    assert held_up == [(1 - wait.lot, 40)]
    best = marginal_values(inst, solution, timing)[0]
    assert (best.kind, best.saves, best.hours) == ("setter", 40.0, 80 / 3600)


def test_one_more_who_stays_at_a_press_is_worth_what_waiting_costs() -> None:
    """Two presses for 100 s each, each with one person, of whom there is one: a second saves the wait of 100 s."""
    inst = workshop([[100, -1], [-1, 100]], due=[0, 0], late=[1.0, 1.0], horizon=500)._replace(
        tended=1, run_operators=np.array([1, 1]), tending_cost_s=np.zeros((2, 2)), operators=1,
        operator_first=np.array([0, 0]), operator_last=np.array([1, 1]),
    )  # fmt: skip
    best = marginal_values(inst, *planned(inst))[0]
    assert (best.kind, best.index, best.saves, best.sooner_s, best.hours) == ("operator", -1, 100.0, 100, 200 / 3600)


def test_people_of_each_place_are_added_where_they_are() -> None:
    """A press here, and two at another place with two setters and one who stays at presses: only one more of these
    saves the wait."""
    inst = workshop([[40, -1, -1], [-1, 40, -1], [-1, -1, 40]], due=[0] * 3, late=[1.0] * 3, horizon=900)._replace(
        mount_s=np.array([60, 60, 60]), elsewhere=1, setters=3,
        setter_first=np.array([0, 1, 1]), setter_last=np.array([1, 3, 3]),
        tended=1, run_operators=np.array([1, 1, 1]), tending_cost_s=np.zeros((3, 3)), operators=2,
        operator_first=np.array([0, 1, 1]), operator_last=np.array([1, 2, 2]),
    )  # fmt: skip
    more = {
        (one.kind, one.index): one
        for one in marginal_values(inst, *planned(inst))
        if one.kind in ("setter", "operator")
    }
    assert set(more) == {("setter", 0), ("setter", 1), ("operator", 0), ("operator", 1)}
    assert [more[key].saves for key in (("setter", 0), ("setter", 1), ("operator", 0))] == [0, 0, 0]
    # the last press begins when the other is done, 60 + 40 s late
    assert (more["operator", 1].saves, more["operator", 1].hours) == (100.0, 80 / 3600)
    assert (more["setter", 0].hours, more["setter", 1].hours) == (60 / 3600, 60 / 3600)


def test_an_hour_more_is_worth_a_restart() -> None:
    """Work of 70 min in stretches of 60 min, a warm-up each at 1 a second: an hour longer saves the second one."""
    inst = workshop([[4200]], horizon=100_000)._replace(
        open_ptr=np.array([0, 2]), open_start=np.array([0, 50_000]), open_end=np.array([3600, 53_600]),
        restart_s=np.array([600]), press_cost_s=np.ones(1), tool_ready=np.array([0]),
    )  # fmt: skip
    _, timing = planned(inst)
    assert timing.totals[w.PRESS_COST] == 4200 + 2 * 600
    best = next(more for more in marginal_values(inst, *planned(inst)) if more.kind == "press hour")
    assert (best.saves, best.hours) == (600, 2.0)

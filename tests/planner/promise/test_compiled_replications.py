"""Scenarios in the compiled part against the plain loop, to the second and the penny, and against the rules' words."""

import numpy as np
import pytest

from benchmarks.generator import sized, small
from examples.situations import campaign_of
from planner.campaign.common_case import common_case
from planner.campaign.planning import POLICIES
from planner.expected.in_scenario import scenario_instance
from planner.promise.replications import written
from planner.promise.scenarios import draw
from planner.schedule import timing as w
from planner.schedule.construct import first_plans
from planner.schedule.encode import compile_campaign
from planner.schedule.expected.replicate import follow_through, replicated
from planner.schedule.expected.scenarios import Scenarios
from planner.schedule.instance import packed_instance
from planner.schedule.solution import Solution, objective_of
from planner.schedule.timing import timing_for
from tests.planner.promise.plain_loop import in_scenario, plain_replications
from tests.support.pot_campaign import pot_campaign


def case(campaign, number=12, seed=3):
    campaign = campaign.model_copy(update={"uncertainty": common_case(campaign)})
    inst, names = compile_campaign(campaign)
    solution = first_plans(inst, packed_instance(inst), timing_for(inst))[0][1]
    return inst, names, solution, written(inst, names, draw(campaign, number, seed))


@pytest.mark.parametrize("to_the_letter", [True, False])
@pytest.mark.parametrize("seed", [0, 1, 2, 3, 5, 8, 13, "pots"])
def test_the_compiled_loop_is_the_plain_one_to_the_second(seed, to_the_letter):
    inst, _, solution, scenarios = case(pot_campaign() if seed == "pots" else small(seed))
    found = replicated(inst, solution, scenarios, to_the_letter=to_the_letter)
    plain = plain_replications(inst, solution, scenarios, to_the_letter)
    assert found.moulded.tolist() == [end for _, end, _ in plain]
    assert found.packed.max(axis=1).tolist() == [packed for _, _, packed in plain]
    assert found.cost == pytest.approx([money for money, _, _ in plain], abs=1e-6)


@pytest.mark.parametrize("seed", [1, 3, "pots", "S 1", "S 2", "M 3", "cavity-blocked-by-choice"])
def test_planning_again_is_as_the_plain_twin_does_it(seed):
    """Every choice at every moment at which a tool is late, by what is known then; on several presses it is another
    than a press makes that only takes what is ready of its own."""
    size, _, n = str(seed).partition(" ")
    campaign = pot_campaign() if seed == "pots" else sized(size, int(n)) if n else _named(seed)
    inst, _, solution, scenarios = case(campaign, 16 if size != "M" else 6)
    found = replicated(inst, solution, scenarios, "plan again")
    plain = plain_replications(inst, solution, scenarios, False, again=True)
    assert found.cost == pytest.approx([money for money, _, _ in plain], abs=1e-6)
    assert found.moulded.tolist() == [end for _, end, _ in plain]
    assert found.packed.max(axis=1).tolist() == [packed for _, _, packed in plain]
    if size == "S":
        assert (found.cost != replicated(inst, solution, scenarios, "first ready").cost).any()


def test_nobody_begins_a_run_before_it_is_known_that_another_tool_is_late():
    """Two tools, one press that is idle as planned until the second of them comes; it does not, and the run taken
    instead begins when that is known, not when the press fell idle."""
    for seed in range(1, 40):
        inst, _, solution, _ = case(small(seed), 1)
        tools = inst.run_tool[inst.lot_run[solution.lots()[0]]]
        if not inst.pinned.any() and (tools != tools[0]).any():
            break
    timing = timing_for(inst)
    objective_of(packed_instance(inst), solution, timing)
    first = solution.lots()[0][0]
    tool, there = tools[0], int(timing.lots[first, w.CO_START]) + 3 * 86400
    late = inst._replace(tool_ready=np.where(np.arange(inst.tool_ready.size) == tool, there, 0))
    objective_of(packed_instance(late), solution, timing)
    begins = int(timing.lots[first, w.CO_START])
    ready = np.where(np.arange(inst.tool_ready.size) == tool, there + 30 * 86400, 0)[None, :]
    for policy in ("first ready", "plan again"):
        recourse = follow_through(late, solution, Scenarios(1, ready=ready), policy=policy)
        taken = recourse.planned.now.seq[0, 0]
        assert taken != first
        assert recourse.timing.lots[taken, w.CO_START] >= begins >= there


def _named(seed: int | str):
    """A generated campaign, or a situation: one in which two tools share a part, each of which may come late."""
    return small(seed) if isinstance(seed, int) else campaign_of(seed)


def test_nothing_unsure_is_the_plan_itself():
    """Under both policies: where everything is as planned, everything happens as planned."""
    inst, _, solution, _ = case(small(4), 1)
    for policy in POLICIES:
        likely = replicated(inst, solution, Scenarios(2), policy)
        assert likely.cost == pytest.approx([likely.planned] * 2, abs=1e-9)


@pytest.mark.parametrize("seed", [1, 2, 3, 5, 8, 13, 21])
def test_a_press_takes_the_first_run_that_is_ready_once_its_next_tool_is_late(seed):
    """Read off what happened: whenever a press began a run out of turn, each run it passed over had no tool there at
    the moment it should have begun (or the press was free, if later); and no run was begun whose tool came later than
    that of one passed over before it."""
    inst, _, solution, scenarios = case(small(seed), 30)
    timing = timing_for(inst)
    objective_of(packed_instance(inst), solution, timing)
    begins = np.minimum(timing.lots[:, w.CO_START], timing.pieces[timing.lots[:, w.FIRST_PIECE], w.OPENED])
    last_lot = [0] * inst.run_tool.size
    for lot in np.argsort(timing.lots[:, w.END], kind="stable"):
        last_lot[inst.lot_run[lot]] = lot
    for k in range(scenarios.number):
        own = in_scenario(inst, scenarios, k, last_lot)._replace(
            likely_begin=begins.astype(np.int64), lot_release=np.zeros(begins.size, dtype=np.int64)
        )
        plan = Solution(solution.seq.copy(), solution.length.copy(), solution.order.copy())
        timing = timing_for(own)
        value = objective_of(packed_instance(own), plan, timing)
        if not value < np.inf:
            continue
        ends = timing.lots[:, w.END]
        ready = own.tool_ready[own.run_tool[own.lot_run]]
        for p, planned in enumerate(solution.lots()):
            left, free = list(planned), 0
            for n, lot in enumerate(plan.lots()[p]):
                front = left[0]
                now = max(free, int(begins[front]))
                if lot != front:
                    assert n >= inst.pinned[p]
                    assert ready[front] > now
                    passed = left[: left.index(lot)]
                    assert all(ready[other] > now for other in passed)
                    assert all(ready[lot] <= max(now, ready[other]) for other in passed)
                elif n >= inst.pinned[p] and ready[front] > now:
                    assert all(ready[other] >= ready[front] for other in left)
                left.remove(lot)
                free = int(ends[lot])
        # in that order, kept, everything happens at the same second
        kept = timing_for(own)
        waits = own._replace(likely_begin=np.zeros(0, dtype=np.int64))  # its lots wait as they have been made to
        same = objective_of(packed_instance(waits), plan, kept)
        assert same == value
        assert (kept.lots[:, w.END] == ends).all()


def test_what_comes_before_the_start_is_there_at_the_start():
    """Deliveries a year early come at moment nought, and so does each piece; what is in hand stays where it is."""
    inst, _, solution, _ = case(pot_campaign(), 1)
    early = np.full((1, inst.supply_ptr.size - 1), -365 * 86400), np.full((1, inst.piece_ptr.size - 1), -365 * 86400)
    found = scenario_instance(inst, solution, Scenarios(1, supply_s=early[0], piece_s=early[1]), 0)
    for ptr, planned, now in (
        (inst.supply_ptr, inst.supply_t, found.supply_t),
        (inst.piece_ptr, inst.piece_t, found.piece_t),
    ):
        further = np.setdiff1d(np.arange(planned.size), ptr[:-1])
        assert planned[further].min() > 1
        assert now[further].tolist() == [0] * further.size
        assert now[ptr[:-1]].tolist() == planned[ptr[:-1]].tolist()


def test_threads_change_nothing():
    inst, _, solution, scenarios = case(small(3), 40)
    one, more = (replicated(inst, solution, scenarios, "plan again", threads=n) for n in (1, 3))
    assert (one.cost == more.cost).all()
    assert (one.packed == more.packed).all()

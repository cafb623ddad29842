"""Neighbouring runs of one demand are joined where that costs nothing on average, and only there."""

from dataclasses import replace

import numpy as np
import pytest

from planner.expected import joined as subject
from planner.expected.budgets import load_of
from planner.expected.joined import joined
from planner.expected.judged import Candidate
from planner.schedule.encode import compile_campaign
from planner.schedule.expected.replicate import replicated
from planner.schedule.expected.scenarios import Scenarios
from planner.schedule.solution import Solution
from tests.planner.expected.jobs import jobs


@pytest.fixture(scope="module")
def halves() -> tuple[Candidate, Scenarios]:
    """One run of two days in two lots, one after the other; two scenarios that go as planned, in which what comes on
    top is so much the other way that all of it comes to nothing, to the penny."""
    whole, _ = compile_campaign(jobs({"a": (2, 2, 2)}, {"a": 10}))
    (shots,) = whole.lot_shots.tolist()
    inst = whole._replace(lot_run=np.array([0, 0]), lot_shots=np.array([shots // 2, shots - shots // 2]))
    solution = Solution.empty(inst)
    for lot in (0, 1):
        solution.append(0, lot)
    solution.order = np.arange(inst.batch_work.size)
    cost = replicated(inst, solution, Scenarios(2)).cost
    assert (cost > 0).all()
    return Candidate(inst, solution, "as planned"), Scenarios(2, extra_cost=-cost)


def lots(found: Candidate) -> list[int]:
    return found.inst.lot_shots.tolist()


def test_what_costs_exactly_as_much_is_joined(halves):
    """Also where both come to nothing, so that there is no share of it to spare."""
    one, scenarios = halves
    assert replicated(one.inst, one.solution, scenarios).cost.tolist() == [0.0, 0.0]
    assert lots(joined(one, scenarios)) == [sum(lots(one))]
    assert joined(one, scenarios).solution.length.tolist() == [1]


def test_what_costs_more_on_average_stays_in_two(halves, monkeypatch):
    """A scenario in which only the long run waits. The candidate that was given is left as it is."""
    one, scenarios = halves

    def dearer(inst, *rest):
        found = replicated(inst, *rest)
        return replace(found, cost=found.cost + (inst.lot_run.size == 1) * np.array([0.0, 1.0]))

    monkeypatch.setattr(subject, "replicated", dearer)
    assert lots(joined(one, scenarios)) == lots(one)
    assert joined(replace(one, certain=True), scenarios).policy == one.policy


@pytest.mark.parametrize(("room", "looked"), [(0, True), (-1, False)])
def test_runs_are_tried_one_by_one_up_to_a_load(halves, monkeypatch, room, looked):
    """Exactly at the load they still are; above it all are joined or none."""
    one, scenarios = halves
    asked = []

    def dearer(inst, *rest):
        asked.append(inst.lot_run.size)
        found = replicated(inst, *rest)
        return replace(found, cost=found.cost + (inst.lot_run.size == 1))

    monkeypatch.setattr(subject, "replicated", dearer)
    monkeypatch.setattr(subject, "MOST_LOAD", 2 * load_of(one.inst) + room)
    assert lots(joined(one, scenarios)) == lots(one)
    assert asked == ([2, 1, 1] if looked else [2, 1])

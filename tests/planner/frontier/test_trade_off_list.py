"""The list holds only unbeaten plans; a rate of exchange decides between kilograms and days as it says."""

from datetime import datetime, timedelta
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmarks.plain_workshop import workshop
from planner.control import Unhurried
from planner.errors import CampaignProblems
from planner.frontier.document import Point
from planner.frontier.make import frontier
from planner.reading import read
from planner.schedule import timing as w
from planner.schedule.encode import aimed
from planner.schedule.instance import Instance, packed_instance
from planner.schedule.search import Budget, search
from planner.schedule.solution import objective_of
from planner.schedule.timing import timing_for
from tests.planner_double import SMALL_CAMPAIGN

DAY = 86_400
NOON = datetime.fromisoformat("2027-03-01T12:00+00:00")


def at(plan: str, kg: float, hours: int, cost: float = 0.0) -> Point:
    moment = NOON + timedelta(hours=hours)
    return Point(
        plan=plan, title=plan, waste_kg=kg, purge_kg=kg, last_dispatch=moment, cost=cost, late_parcels=0, audited=True
    )


@given(st.lists(st.tuples(st.integers(0, 9), st.integers(0, 9), st.integers(0, 9)), min_size=1, max_size=12))
def test_no_plan_on_the_list_is_beaten_and_none_is_lost(drawn: list[tuple[int, int, int]]) -> None:
    """Against the definition: a plan is on the list unless another is no worse in both and better in one, or alike."""
    points = [at(f"p{n}", kg, 24 * day, cost) for n, (kg, day, cost) in enumerate(drawn)]
    found = frontier(points, "GBP")
    assert {p.plan for p in found.points + found.beaten} == {p.plan for p in points}
    for one, other in pairwise(found.points):
        assert other.waste_kg > one.waste_kg
        assert other.last_dispatch < one.last_dispatch
    for lost in found.beaten:
        assert any(p.waste_kg <= lost.waste_kg and p.last_dispatch <= lost.last_dispatch for p in found.points)


def test_a_day_earlier_is_priced_in_words() -> None:
    """Two kilograms for one day, eleven for the next two: 13 kg over three days."""
    found = frontier([at("a", 4, 96, 100), at("b", 6, 72, 90), at("c", 17, 24, 180)], "EUR")
    assert [(s.days, s.kg, s.money) for s in found.steps] == [(1, 2, -10), (2, 11, 90)]
    assert found.steps[0].words == "1 day sooner, by Thu 4 Mar 12:00, wastes 2.0 kg more, and saves 10.00\u202fEUR"
    assert "wastes 11.0 kg more, 5.5 kg a day, and costs 90.00\u202fEUR" in found.steps[1].words
    assert "a day earlier costs 4.3 kg on average, step by step from 2.0 to 5.5." in found.words


def _two_ways() -> Instance:
    """One press is cheap in kilograms and a day later; the other, full of a melt that purges dearly, is quick."""
    inst = workshop([[50_000] * 2] * 2, horizon=200_000)
    kg = np.ones_like(inst.purge_kg) * 0.5
    kg[1, 0, 2, :] = 8.0
    return inst._replace(
        purge_kg=kg, waste_cost_kg=np.ones(3), press_melt=np.array([[0, -1], [2, -1]]),
        pickup_t=np.array([DAY, 2 * DAY]), pickup_day=np.array([1, 2]), press_cost_s=np.zeros(2),
    )  # fmt: skip


@pytest.mark.parametrize(("rate", "kg", "day"), [(0.0, 0.5, 2), (7.0, 0.5, 2), (8.0, 8.0, 1), (10_000.0, 8.0, 1)])
def test_the_rate_decides_between_kilograms_and_days(rate: float, kg: float, day: int) -> None:
    """The day costs 7.5 kg: it is bought at 8 kg a day, and not at 7."""
    inst = aimed(_two_ways(), "waste", rate)
    found = search(inst, Budget(2, 1, 0.0), Unhurried())
    timing = timing_for(inst)
    objective_of(packed_instance(inst), found.solution, timing)
    assert (timing.totals[w.PURGE_TOTAL_KG], timing.totals[w.LAST]) == (kg, day * DAY)


def test_a_rate_without_its_aim_is_refused() -> None:
    with pytest.raises(CampaignProblems) as told:
        read(SMALL_CAMPAIGN | {"planning": {"kg_per_day": 3}})
    assert [p.pointer for p in told.value.problems] == ["/planning/kg_per_day"]

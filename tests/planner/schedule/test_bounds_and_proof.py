"""Bounds lie below every plan; what is called proven is what trying every plan on the plain twin finds."""

from collections import Counter
from itertools import islice
from math import inf

import numpy as np
import pytest

from benchmarks.generator import sized
from planner.control import Unhurried
from planner.planning.make import make_plan
from planner.schedule.bounds.changeovers import least_changeovers
from planner.schedule.bounds.lower_bound import Solvers, at_once, paid_anyway, with_effort
from planner.schedule.bounds.press_hours import LowerBound
from planner.schedule.encode import aimed, compile_campaign
from planner.schedule.instance import Instance
from planner.schedule.search import Budget, NoPlan, search
from tests.planner.schedule.brute_force import brute_force, is_the_best, small_instance, tiny_instances
from tests.support.sampled import EVERY

EFFORT = 0.5
"""Seconds for the bounds that take some."""
SOME = 4 if EVERY else 2


@pytest.mark.parametrize(("aim", "first", "number"), [(None, 0, 8), ("soonest", 2, 4), ("waste", 0, 5)])
def test_tiny_campaigns_are_proven_and_equal_to_brute_force(aim: str | None, first: int, number: int) -> None:
    """On campaigns small enough to try every plan on the plain twin, the search ends proven, with the same optimum.
    (The second of them has 4,176 orders of service to think about when it is to be done soonest.)"""
    checked = 0
    for seed, inst in islice(tiny_instances(aim), first, first + number):
        best = brute_force(inst)
        if best == inf:
            with pytest.raises(NoPlan):
                search(inst, Budget(5, 1, 0.0), Unhurried())
            continue
        found = search(inst, Budget(5, 1, 0.0), Unhurried())
        assert found.ended == "proven", seed
        assert is_the_best(inst, found.objective, found.solution, best), seed
        assert found.bound <= found.cost + 1e-9, seed
        cheap = paid_anyway(inst)
        known = at_once(cheap, least_changeovers(cheap))
        for bound in (known, _with_effort(cheap, known)):
            if aim is None:
                assert bound.total <= best + 1e-6, (seed, bound.basis)
            elif aim == "soonest":
                assert 1000 * bound.last_s / 86400 <= best + 1e-6, (seed, bound.last_basis)
            else:
                assert 1000 * bound.waste_kg <= best + 1e-6, (seed, bound.waste_basis)
        checked += 1
    assert checked >= number * 3 // 4


def _with_effort(inst: Instance, known: LowerBound) -> LowerBound:
    best = known
    for better, _ in with_effort(inst, least_changeovers(inst), known, EFFORT, Solvers()):
        assert better.total >= best.total
        best = better
    return best


def test_bounds_lie_below_the_best_plans_found() -> None:
    """On random small campaigns both bounds stay below the best plan found, and one of them is within a fifth in half
    of them; `benchmarks.schedule_bounds` looks at more."""
    near = 0
    for seed in range(SOME):
        inst = small_instance(seed)
        try:
            found = search(inst, Budget(4, seed, 0.0), Unhurried())
        except NoPlan:
            continue
        cheap = paid_anyway(inst)
        known = at_once(cheap, least_changeovers(cheap))
        better = _with_effort(cheap, known)
        assert known.total <= better.total <= found.cost + 1e-6, seed
        near += better.total >= 0.8 * found.cost
    assert near >= SOME // 2


def test_every_bound_is_the_best_one_somewhere() -> None:
    """By dates, in wholes, a bench, vans, presses, a batch alone: each raises what the others leave somewhere."""
    money, last = Counter[str](), Counter[str]()
    for inst in (compile_campaign(campaign)[0] for campaign in (sized("XS", 1), sized("XS", 2), sized("S", 2))):
        known = at_once(inst, least_changeovers(inst))
        totals = [known.total]
        for better, _ in with_effort(inst, least_changeovers(inst), known, 1.0, Solvers()):
            totals.append(better.total)
            money[better.basis[-20:]] += better.total > totals[-2] + 1
    assert len(money) == 2, money
    assert min(money.values()) >= 3, money
    middling = compile_campaign(sized("XS", 5))[0]
    for money_first in (*(small_instance(seed) for seed in range(40)), middling):
        inst = aimed(money_first, "soonest")
        least = least_changeovers(inst)
        known = at_once(inst, least)
        if money_first is middling:
            known, _ = next(with_effort(inst, least, known, 1.0, Solvers()))
        last[known.last_basis] += 1
    assert len(last) >= 4, last


def test_a_search_does_not_wait_for_orders_that_would_bound_nothing() -> None:
    """With 70 runs on five presses the exact solver of orders says nothing beyond the programme by dates, and while it
    thinks a chain stands still; with 25 on three it is begun."""
    begun = {}
    for size in ("S", "M"):
        inst, _ = compile_campaign(sized(size, 1))
        solvers = Solvers()
        known = LowerBound(0.0, 0.0, 0.0, "")
        for _ in with_effort(inst, least_changeovers(inst), known, 0.01, solvers):
            pass
        begun[size] = solvers.cp_sat.parameters.max_deterministic_time < inf
    assert begun == {"S": True, "M": False}


def test_a_short_search_does_not_wait_for_whole_numbers() -> None:
    """A tenth of two seconds is too little for the model in whole numbers of 25 runs, which takes half a second of a
    core whatever its effort; a tenth of ten is enough, and it then bounds more."""
    inst = compile_campaign(sized("S", 1))[0]
    least = least_changeovers(inst)
    known = at_once(inst, least)
    bases = {
        effort: [better.basis for better, _ in with_effort(inst, least, known, effort, Solvers())]
        for effort in (0.2, 1.0)
    }
    assert not any("batches sent whole" in basis for basis in bases[0.2]), bases
    assert any("batches sent whole" in basis for basis in bases[1.0]), bases


def test_the_bound_counts_what_must_be_late() -> None:
    """Where even a batch planned alone leaves too late, the bound says so in money and in words."""
    counted = 0
    for seed in range(40):
        inst = small_instance(seed)
        bound = at_once(inst, least_changeovers(inst))
        if bound.late > 0:
            counted += 1
            assert "late" not in bound.basis.split(";")[0]
            assert "no plan can send in time" in bound.basis
    assert counted >= 5


@pytest.mark.parametrize(
    ("aim", "unit", "rate"), [("soonest", "days", None), ("waste", "kg", None), ("waste", "kg", 2)]
)
def test_each_aim_has_a_bound_of_its_own(aim: str, unit: str, rate: float | None) -> None:
    """The plan says what it has of its aim, what no plan can have less of, and why; a gap of it ends the search."""
    campaign = sized("XS", 3)
    planning = {"aim": aim, "rounds": 3, "kg_per_day": rate}
    campaign = campaign.model_copy(update={"planning": campaign.planning.model_copy(update=planning)})
    outcome = make_plan(campaign, Unhurried()).outcome
    assert outcome.aim_unit == unit
    assert outcome.aim_value is not None
    assert outcome.aim_bound is not None
    assert 0.5 * outcome.aim_value < outcome.aim_bound <= outcome.aim_value
    assert outcome.aim_gap == pytest.approx(1 - outcome.aim_bound / outcome.aim_value)
    assert outcome.aim_basis
    assert (outcome.status == "optimal") == (outcome.aim_gap == 0)
    easy = campaign.planning.model_copy(update={"gap": 0.9})
    ended = make_plan(campaign.model_copy(update={"planning": easy}), Unhurried()).outcome
    assert (ended.ended, ended.rounds) == ("gap reached", 0)


def test_a_plan_for_money_says_nothing_of_other_aims() -> None:
    """Its bound is money."""
    campaign = sized("XS", 3)
    planning = campaign.planning.model_copy(update={"rounds": 1})
    assert make_plan(campaign.model_copy(update={"planning": planning}), Unhurried()).outcome.aim_unit is None


def test_soonest_is_proven_once_its_last_dispatch_meets_the_bound() -> None:
    """It ends before its rounds are used, says proven, and nothing leaves later than the bound allows."""
    campaign = sized("XS", 1)
    planning = campaign.planning.model_copy(update={"aim": "soonest", "rounds": 60})
    outcome = make_plan(campaign.model_copy(update={"planning": planning}), Unhurried()).outcome
    assert (outcome.status, outcome.aim_gap) == ("optimal", 0.0)
    assert outcome.rounds < 60


def test_the_waste_bound_counts_purges() -> None:
    """Start-up shots alone, which any bound has, lie well below it."""
    campaign = sized("XS", 2)
    waste = campaign.planning.model_copy(update={"aim": "waste"})
    inst, _ = compile_campaign(campaign.model_copy(update={"planning": waste}))
    none = inst._replace(purge_kg=np.zeros_like(inst.purge_kg))
    with_purges, without = (at_once(i, least_changeovers(i)).waste_kg for i in (inst, none))
    assert with_purges > without + 1.0
    assert _with_effort(inst, at_once(inst, least_changeovers(inst))).waste_kg >= with_purges

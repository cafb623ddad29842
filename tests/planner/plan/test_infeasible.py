"""Infeasible is an answer: the reason, and the smallest change that would make a plan possible."""

from collections import Counter

import numpy as np
import pytest

from benchmarks.every_plan import tiny_document
from benchmarks.generator import small
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.errors import Infeasible, NoneFound
from planner.planning.make import make_plan
from planner.reading import read
from planner.schedule.any_plan import any_plan
from planner.schedule.encode import compile_campaign
from planner.schedule.infeasible import NoPlan, refusal
from planner.schedule.instance import Instance, packed_instance
from planner.schedule.paths import Paths
from planner.schedule.solution import Solution, allowed, objective_of
from planner.schedule.timing import timing_for
from tests.planner.plan.test_cases import case
from tests.planner.schedule.brute_force import every_sequence


def without_plan(change: dict[str, object]) -> Infeasible:
    """Plan small campaign 3 with top-level sections replaced; the refusal it must end in."""
    campaign = small(3).model_dump(mode="json", by_alias=True) | change
    with pytest.raises(Infeasible) as refused:
        make_plan(Campaign.model_validate(campaign), Unhurried())
    return refused.value


def test_a_changeover_longer_than_every_opening_names_the_press_hours() -> None:
    """The press is open three minutes at a time; no mount fits."""
    document = small(3).model_dump(mode="json", by_alias=True)
    presses = {
        name: {**press, "hours": {"mon-fri": "08:00-08:03"}, "on_dates": {}}
        for name, press in document["presses"].items()
    }
    tools = {name: {**tool, "presses": sorted(presses)[:1]} for name, tool in document["tools"].items()}
    only = sorted(presses)[0]
    refused = without_plan({"presses": {only: presses[only]}, "tools": tools})
    assert [p.pointer for p in refused.problems] == [f"/presses/{only}/hours"]
    assert "one stretch of hours" in refused.problems[0].remedy


def test_a_material_that_runs_out_during_the_work_is_named_with_what_there_is() -> None:
    """Stock covers the parts, but not the start-up shots and purges on top; nothing more can be bought."""
    document = small(3).model_dump(mode="json", by_alias=True)
    resin = sorted(document["resins"])[0]
    resins = {
        name: {**r, "stock_kg": 0.001, "arrivals": [], "lead_days": None} if name == resin else r
        for name, r in document["resins"].items()
    }
    refused = without_plan({"resins": resins})
    assert [p.pointer for p in refused.problems] == [f"/resins/{resin}"]
    assert "0.001 kg" in refused.problems[0].message
    assert "lead_days" in refused.problems[0].remedy


def test_a_campaign_too_tight_for_the_rules_of_practice_is_looked_at_on() -> None:
    """Where nothing is proven, it says so and names what makes room; infeasible it is not called."""
    campaign = case("red_infeasible_1113")
    inst, names = compile_campaign(campaign)
    refused = refusal(inst, names, NoPlan("", 3.0), Unhurried())
    assert isinstance(refused, NoneFound)
    assert "no plan was found in 3 s; that does not mean there is none" in refused.problems[0].message
    assert [p.pointer for p in refused.problems[1:]], "nothing would make room"


def test_the_relaxation_never_forbids_a_plan_that_exists() -> None:
    """Of small campaigns each has a plan: none is proven impossible, and what is strung together is mostly a plan."""
    strung = 0
    for seed in range(40):
        inst, _ = compile_campaign(small(seed))
        paths = Paths(inst)
        found = list(paths.orders(1, 0))
        assert not paths.impossible, seed
        strung += bool(found) and allowed(inst, found[0])
    assert strung > 30


class _TimeIsOver(Unhurried):
    def seconds_left(self) -> float | None:
        return 0.0


def test_a_plan_is_looked_for_a_little_also_where_time_is_over() -> None:
    """Seed 355 of every plan, with people who stay at presses: a run has to be put off for want of resin. With 0.1 s
    none was found once, as all of them had gone before repair began."""
    inst, _ = compile_campaign(read(tiny_document(355, tended=True)))
    looked = any_plan(inst, packed_instance(inst), timing_for(inst), _TimeIsOver(), None, 0)
    assert looked.plan is not None
    assert looked.plan.release is not None
    assert looked.plan.release.any()
    assert looked.value < 280.0  # the least of all plans is 270.70


def test_going_through_every_order_agrees_with_trying_every_one() -> None:
    """Presses open so shortly that some changeovers fit and some do not: any_plan finds a plan where there is one, and
    says infeasible, with a proof, only where there is none."""
    seen: Counter[str] = Counter()
    for seed in range(60):
        inst, _ = compile_campaign(small(seed))
        if not 2 <= inst.lot_run.size <= 4 or inst.batch_work.size > 4:
            continue
        for minutes in (20, 35, 60):
            tight = _opened(inst, minutes * 60)
            arrays, timing = packed_instance(tight), timing_for(tight)
            there = any(
                objective_of(arrays, plan, timing) < np.inf
                for sequence in every_sequence(tight)
                if allowed(tight, plan := _plan(tight, sequence))
            )
            looked = any_plan(tight, arrays, timing, Unhurried(), 1, 0)
            assert (looked.plan is not None) == there, (seed, minutes)
            assert not (looked.proof and there), (seed, minutes)
            seen["possible" if there else "proven" if looked.proof else "none found"] += 1
    assert seen["possible"] > 5
    assert seen["proven"] > 5, seen


def _opened(inst: Instance, seconds: int) -> Instance:
    """Every stretch shut so long after it opens."""
    shut = inst.open_start + seconds
    hands = np.minimum(inst.hands_end, shut) if inst.hands_end.size else inst.hands_end
    return inst._replace(open_end=np.minimum(inst.open_end, shut), hands_end=hands)


def _plan(inst: Instance, sequence: list[list[int]]) -> Solution:
    plan = Solution.empty(inst)
    for p, lots in enumerate(sequence):
        for lot in lots:
            plan.append(p, lot)
    return plan

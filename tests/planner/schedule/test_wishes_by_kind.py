"""Each kind of wish by itself: what leaving it out changes, a plan that breaks it, the plain twin, every plan tried."""

import random
from collections import Counter
from typing import Any

import numpy as np
import pytest

from benchmarks.generator import small
from benchmarks.small_campaigns import document
from benchmarks.ways import WISHES, wish
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.errors import CampaignProblems
from planner.plan.document import RunPlan
from planner.planning.make import make_plan
from planner.reading import read
from planner.schedule.encode import compile_campaign
from planner.schedule.timing import timing_for
from tests.planner.planning.test_wishes import wished
from tests.planner.schedule.brute_force import brute_force
from tests.planner.schedule.few_plans import drawn, found_as_good
from tests.planner.schedule.plain.compared import evaluated_twice
from tests.support.assertions import broken_rules
from tests.support.sampled import sampled

POT, FOOT = {"tool": "pot"}, {"tool": "foot"}
CREAM_POT, CREAM_FOOT = POT | {"colours": ["cream"]}, FOOT | {"colours": ["cream"]}
ASKED: dict[str, dict[str, Any]] = {
    "press": {"runs": POT, "press": "big"},
    "not_before": {"runs": CREAM_FOOT, "not_before": "2027-01-13T08:00"},
    "done_by": {"runs": CREAM_FOOT, "done_by": "2027-01-11T11:00"},
    "then": {"runs": FOOT, "then": POT},
    "first_colour": {"press": "small", "first_colour": "sage"},
    "together": {"together": [CREAM_POT, CREAM_FOOT]},
    "free": {"press": "small", "free_from": "2027-01-11"},
}
"""Without any all runs are on the small press, pots first, feet in cream last, until 16:54 on the 11th."""
SMALL = {
    "press": (0, 1, 2), "not_before": (0, 1, 4), "done_by": (1, 3, 11), "then": (0, 3, 4), "first_colour": (2, 6, 7),
    "together": (1, 2, 3), "free": (1, 2, 5),
}  # fmt: skip
"""Seeds of campaigns small enough to try every plan (see `few_plans`)."""
BUILT_IN = ("press", "not_before", "free")
"""Kinds that no plan can break, since runs have no other press or moment to go to."""
MADE: dict[str, RunPlan] = {}


def plan_with(kind: str) -> RunPlan:
    """The plan with a wish of that kind; "": with none. Made once."""
    if kind not in MADE:
        MADE[kind] = make_plan(wished(*([ASKED[kind]] if kind else [])), Unhurried())
    return MADE[kind]


def order(plan: RunPlan) -> list[Any]:
    return [(run.press, run.tool, run.melts, run.changeover and run.changeover.start) for run in plan.runs]


@pytest.mark.parametrize("kind", WISHES)
def test_left_out_the_plan_is_another_one(kind: str) -> None:
    """It is kept, and costs what the plan without it saves, or no more."""
    (kept,) = plan_with(kind).wishes
    assert kept.kept
    assert order(plan_with(kind)) != order(plan_with(""))
    assert kept.costs is not None
    assert kept.costs <= plan_with(kind).outcome.total - plan_with("").outcome.total + 0.01


@pytest.mark.parametrize("kind", WISHES)
def test_a_plan_that_breaks_it_is_caught(kind: str) -> None:
    """The plan without the wish, saying that the wish is kept."""
    said = plan_with("").model_copy(update={"wishes": plan_with(kind).wishes})
    assert "A14" in broken_rules(wished(ASKED[kind]), said)
    assert not broken_rules(wished(ASKED[kind]), plan_with(kind))


@pytest.mark.parametrize("kind", WISHES)
def test_evaluator_equals_its_plain_twin(kind: str) -> None:
    seen: Counter[str] = Counter()
    for seed in range(12):
        draw = random.Random(f"{kind} {seed}")
        data = small(seed).model_dump(mode="json", by_alias=True, exclude_defaults=True)
        data["wishes"] = [wish(draw, data, kind)]
        inst = compile_campaign(Campaign.model_validate(data))[0]
        without = compile_campaign(Campaign.model_validate(data | {"wishes": []}))[0]
        seen["another instance"] += not all(map(np.array_equal, inst, without))
        for plain in evaluated_twice(inst, timing_for(inst), seed, 3):
            seen["breaks it"] += plain.broken > 0
            seen["keeps it"] += bool(inst.wishing) and plain.broken == 0
    asked = ("another instance",) if kind in BUILT_IN else ("another instance", "breaks it", "keeps it")
    assert min(seen[what] for what in asked) > 0, seen


def tiny(kind: str, seed: int) -> Campaign | None:
    """A few runs and one wish; None where the draw contradicts itself."""
    draw = random.Random(f"tiny {kind} {seed}")
    data = document(draw, draw.randint(2, 4), draw.randint(1, 2), draw.randint(1, 3), draw.choice([20, 60]))
    for tool in data["tools"].values():
        tool.pop("smallest_lot_shots", None)
    data["wishes"] = [wish(draw, data, kind)]
    try:
        return read(data)
    except CampaignProblems:
        return None


@pytest.mark.parametrize("kind", WISHES)
def test_small_campaigns_are_planned_as_well_as_every_plan_allows(kind: str) -> None:
    seeds = sampled(SMALL[kind], 2)
    instances = drawn(lambda seed: tiny(kind, seed), lambda inst: bool(inst.wishing) or kind in BUILT_IN, seeds)
    assert len(instances) == len(seeds)
    for seed, inst in instances:
        found_as_good(seed, inst, brute_force(inst))

"""Spares, rest, regrind, lights-out, others' work, blocked cavities, a trial on the press and a vote: left out of an
ordinary situation, the plan is another one; and the auditor does not take the plan of the one for the other's.
"""

import json
from functools import cache

import pytest

from examples.situations import FOLDER
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.plan.document import RunPlan
from planner.planning.make import make_plan
from planner.reading import read
from tests.support.assertions import broken_rules

WAYS = {
    # situation, where it is said, the rule broken by a plan made without it; or by the plan made with it, where it is
    # something that a plan may leave unused
    "spares": ("spares", ("parts", "pot", "spare_share"), "A7", "without"),
    "rest": ("rest-before-assembly", ("parts", "pot", "rest_hours"), "A8", "without"),
    "others' work": ("others-work", ("presses", "big", "others"), "A4", "without"),
    "blocked cavities": ("blocked-cavity", ("tools", "pot", "blocked_cavities"), "A7", "without"),
    "trials on a press": ("trial-on-our-press", ("uncertainty",), "A4", "without"),
    "regrind": ("regrind", ("resins", "pp", "regrind_share"), "A11", "with"),
    "lights-out": ("lights-out", ("presses", "big", "lights_out"), "A4", "with"),
    "votes": ("moving-vote", ("uncertainty",), "A13", "with"),
}


@cache
def both(way: str) -> tuple[Campaign, RunPlan, Campaign, RunPlan]:
    """A situation and its plan; the same without the way, and its plan."""
    name, path, _, _ = WAYS[way]
    data = json.loads((FOLDER / f"{name}.json").read_text(encoding="utf-8"))
    data["planning"] = {"rounds": 5, "seed": 1}
    with_it = read(data)
    at = data
    for key in path[:-1]:
        at = at[key]
    del at[path[-1]]
    without = read(data)
    return with_it, make_plan(with_it, Unhurried()), without, make_plan(without, Unhurried())


def told(plan: RunPlan) -> tuple[object, ...]:
    """What a maker would see of it."""
    runs = [run.model_dump() for run in plan.runs]
    return runs, [job.start for job in plan.assembly], [(line.id, line.regrind_kg) for line in plan.materials]


@pytest.mark.parametrize("way", WAYS)
def test_left_out_the_plan_is_another_one(way: str) -> None:
    _, plan, _, without = both(way)
    assert plan.audit is not None
    assert plan.audit.holds
    assert told(plan) != told(without)


@pytest.mark.parametrize("way", WAYS)
def test_the_plan_of_the_other_campaign_is_caught(way: str) -> None:
    with_it, plan, without, plain = both(way)
    _, _, rule, made = WAYS[way]
    assert rule in (broken_rules(with_it, plain) if made == "without" else broken_rules(without, plan))

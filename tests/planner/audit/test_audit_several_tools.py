"""Parts that several tools make (D6) before the auditor: a good plan passes, each way to spoil it is caught."""

from collections.abc import Callable
from functools import cache
from typing import Any

import pytest

from planner.audit import audit
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.plan.document import RunPlan
from planner.planning.make import make_plan
from planner.reading import read
from tests.support.assertions import broken_rules
from tests.support.several_tools import pot_document

Plan = dict[str, Any]


def _campaign(**more: Any) -> Campaign:
    data = pot_document()
    data["scrap_taken"] = "known"
    data["planning"] = {"rounds": 1, "made_by": [{"tool": "old pot", "colours": ["cream"], "shots": 120}]}
    return read({**data, **more})


@cache
def _plan() -> RunPlan:
    return make_plan(_campaign(), Unhurried())


def _cream(plan: Plan) -> Plan:
    return next(line for line in plan["balance"] if line["colours"] == ["cream"])


def _one_shot_more_told(plan: Plan) -> None:
    _cream(plan)["made_with"][0]["shots"] += 1


def _a_tool_left_out(plan: Plan) -> None:
    _cream(plan)["made_with"].pop()


def _counted_on_of_the_other(plan: Plan) -> None:
    one, other = _cream(plan)["made_with"]
    one["counted_on"], other["counted_on"] = one["counted_on"] + 9, other["counted_on"] - 9


def _scrap_of_one_for_all(plan: Plan) -> None:
    _cream(plan)["scrap_share"] = 0.01


def _surer_than_it_is(plan: Plan) -> None:
    _cream(plan)["confidence"] = min(1.0, _cream(plan)["confidence"] + 0.01)


def _good_parts_moved(plan: Plan) -> None:
    runs = [run for run in plan["runs"] if run["melts"] == ["pp/cream"]]
    runs[0]["parts"][0]["good"] += 5
    runs[1]["parts"][0]["good"] -= 5


def _fewer_shots_run(plan: Plan) -> None:
    run = next(run for run in plan["runs"] if run["tool"] == "new pot" and run["melts"] == ["pp/cream"])
    run["shots"] -= 3


@pytest.mark.parametrize(
    "spoil",
    [
        _one_shot_more_told, _a_tool_left_out, _counted_on_of_the_other, _scrap_of_one_for_all, _surer_than_it_is,
        _good_parts_moved, _fewer_shots_run,
    ],
)  # fmt: skip
def test_each_way_to_spoil_who_made_how_many_is_caught(spoil: Callable[[Plan], None]) -> None:
    plan = _plan()
    assert plan.audit is not None
    assert plan.audit.holds
    assert len(_cream(plan.model_dump(mode="json"))["made_with"]) == 2
    data = plan.model_dump(mode="json")
    spoil(data)
    assert "A7" in broken_rules(_campaign(), RunPlan.model_validate(data))


@pytest.mark.parametrize(("confidence", "words"), [(0.9999, "is asked for"), (0.6, "a shot fewer than")])
def test_shots_too_few_or_too_many_together_are_caught(confidence: float, words: str) -> None:
    """Of a plan made for 95 %."""
    verdict = audit(_campaign(confidence=confidence), _plan())
    said = [finding for rule in verdict.rules if rule.rule == "A7" for finding in rule.findings]
    assert any(words in finding for finding in map(str, said)), said

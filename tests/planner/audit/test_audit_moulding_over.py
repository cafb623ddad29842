"""Parts that are moulded over others (O) before the auditor: a good plan passes, each way to spoil it is caught."""

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest

from examples.situations import campaign_of, plan_of
from planner.audit import audit
from planner.plan.document import RunPlan
from tests.support.assertions import broken_rules

Plan = dict[str, Any]
MADE: dict[str, RunPlan] = {}


def _plan() -> RunPlan:
    if "plan" not in MADE:
        MADE["plan"] = plan_of("overmoulding")
    return MADE["plan"]


def _run(plan: Plan, tool: str) -> Plan:
    found: Plan = next(run for run in plan["runs"] if run["tool"] == tool)
    return found


def _begins_before_the_cores_have_rested(plan: Plan) -> None:
    run, earlier = _run(plan, "grip"), timedelta(hours=1)
    for what in (run, run["changeover"], *run["stretches"]):
        for field in ("start", "end"):
            what[field] = (datetime.fromisoformat(what[field]) - earlier).isoformat()


def _fewer_taken(plan: Plan) -> None:
    _run(plan, "grip")["takes"][0]["number"] -= 1


def _nothing_taken(plan: Plan) -> None:
    _run(plan, "grip")["takes"] = []


def _cores_not_counted(plan: Plan) -> None:
    line = next(line for line in plan["balance"] if line["part"] == "core")
    line["at_the_shot"] = 0


def _too_few_inserts(plan: Plan) -> None:
    line = next(line for line in plan["pieces"] if line["id"] == "brass insert")
    line["used"] = 400


def _waits_for_a_wish(plan: Plan) -> None:
    _run(plan, "grip")["waits_for"] = "a wish"


@pytest.mark.parametrize(
    ("rule", "spoil"),
    [
        ("A8", _begins_before_the_cores_have_rested), ("A8", _fewer_taken), ("A8", _nothing_taken),
        ("A7", _cores_not_counted), ("A11", _too_few_inserts), ("A3", _waits_for_a_wish),
    ],
)  # fmt: skip
def test_each_way_to_spoil_what_is_moulded_over_is_caught(rule: str, spoil: Callable[[Plan], None]) -> None:
    campaign, plan = campaign_of("overmoulding"), _plan()
    assert all(verdict.holds for verdict in audit(campaign, plan).rules)
    data = plan.model_dump(mode="json")
    spoil(data)
    assert rule in broken_rules(campaign, RunPlan.model_validate(data))

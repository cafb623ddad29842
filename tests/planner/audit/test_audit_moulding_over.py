"""Parts that are moulded over others (O) before the auditor: a good plan passes, each way to spoil it is caught."""

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest

from examples.situations import campaign_of, plan_of
from planner.audit import audit
from planner.control import Unhurried
from planner.plan.document import RunPlan
from planner.planning.make import make_plan
from planner.reading import read
from tests.planner.schedule.test_at_the_shot_twin import plan_of_two_tools
from tests.support.assertions import broken_rules
from tests.support.spoils.by_hand import of_campaign, spoilt

Plan = dict[str, Any]
MADE: dict[str, RunPlan] = {}


def _plan(situation: str = "overmoulding") -> RunPlan:
    if situation not in MADE:
        MADE[situation] = plan_of(situation)
    return MADE[situation]


def _run(plan: Plan, tool: str) -> Plan:
    found: Plan = next(run for run in plan["runs"] if run["tool"] == tool)
    return found


def _begins_before_the_cores_have_rested(plan: Plan) -> None:
    _earlier(_run(plan, "grip"), timedelta(hours=1))


def _earlier(run: Plan, earlier: timedelta) -> None:
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


def test_a_lot_that_begins_a_second_before_its_last_core_has_rested_is_caught() -> None:
    """A8, where others of the cores are still moulded; and A3, which was told what it waits for."""
    campaign, plan = campaign_of("overmoulding-in-lots"), _plan("overmoulding-in-lots")
    assert all(verdict.holds for verdict in audit(campaign, plan).rules)
    data = plan.model_dump(mode="json")
    lots = [run for run in data["runs"] if run["tool"] == "grip"]
    _earlier(min(lots, key=lambda run: str(run["start"])), timedelta(seconds=1))
    assert {"A3", "A8"} <= broken_rules(campaign, RunPlan.model_validate(data))


def test_a_later_lot_takes_what_the_first_left() -> None:
    """A8: that the first takes more is seen where cores are short by then."""
    campaign, plan = campaign_of("overmoulding-in-lots"), _plan("overmoulding-in-lots")
    data = plan.model_dump(mode="json")
    first = min((run for run in data["runs"] if run["tool"] == "grip"), key=lambda run: str(run["start"]))
    first["takes"][0]["number"] += 8
    assert "A8" in broken_rules(campaign, RunPlan.model_validate(data))


@pytest.mark.parametrize(
    ("value", "path"),
    [
        (3, ("parts", "core", "rest_hours")),
        (0.5, ("tools", "old core", "scrap_share")),
    ],
)
def test_what_several_tools_make_is_looked_at(value: object, path: tuple[str, ...]) -> None:
    """Cores of both tools that rest longer, or of which fewer are good, are not there when the grip begins."""
    assert {"A7", "A8"} & broken_rules(*spoilt(*plan_of_two_tools(20), of_campaign(value, *path)))


def test_what_binds_says_what_a_run_is_moulded_over() -> None:
    """A10, A3: the wait has its own words, and is no wish; where a wish keeps the run back it is one."""
    campaign, plan = campaign_of("overmoulding"), _plan()
    assert plan.why is not None
    grip = next(run for run in plan.runs if run.waits_for == "what it is moulded over")
    wait = next(wait for wait in plan.why.waits if wait.run == grip.id)
    assert wait.waited_for == "moulded over"
    (link,) = [link for chain in plan.why.chains for link in chain.links if link.kind == "moulded over"]
    assert link.of == grip.id
    assert any(f"what {grip.id} is moulded over, until " in chain.words for chain in plan.why.chains)
    assert any(of.what == "waiting for what goes into a mould" for chain in plan.why.chains for of in chain.hours)
    data = plan.model_dump(mode="json")
    for one in data["why"]["chains"][0]["links"]:
        one["kind"] = "wish" if one["kind"] == "moulded over" else one["kind"]
    assert "A10" in broken_rules(campaign, RunPlan.model_validate(data))


def test_a_wish_that_keeps_back_what_is_moulded_over_is_named() -> None:
    """A3 and A10 hold: the run begins at the moment wished for, when its cores have long rested."""
    document = campaign_of("overmoulding").model_dump(mode="json", by_alias=True, exclude_unset=True)
    document["wishes"] = [{"runs": {"tool": "grip"}, "not_before": "2027-01-13T11:00"}]
    plan = make_plan(read(document), Unhurried())
    assert plan.audit is not None
    assert plan.audit.holds
    grip = next(run for run in plan.runs if run.tool == "grip")
    assert grip.waits_for == "a wish"

"""Sub-assemblies (F8) before the auditor: a good plan passes, each way to spoil it is caught."""

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest

from examples.situations import campaign_of, plan_of
from planner.audit import audit
from planner.errors import CampaignProblems
from planner.plan.document import RunPlan
from planner.reading import read
from tests.support.assertions import broken_rules

Plan = dict[str, Any]
MADE: dict[str, RunPlan] = {}


def _plan() -> RunPlan:
    if "plan" not in MADE:
        MADE["plan"] = plan_of("sub-assembly")
    return MADE["plan"]


def _moved(moment: str, hours: float) -> str:
    return (datetime.fromisoformat(moment) + timedelta(hours=hours)).isoformat()


def _fewer_put_together(plan: Plan) -> None:
    plan["finishing"][0]["puts"][0]["units"] -= 1


def _more_than_the_job_takes(plan: Plan) -> None:
    plan["finishing"][0]["puts"][0]["units"] += 50


def _another_thing(plan: Plan) -> None:
    plan["finishing"][0]["puts"][0]["what"] = "lid"


def _without_the_seal(plan: Plan) -> None:
    del plan["finishing"][0]["puts"][0]["of"]["seal"]


def _twice(plan: Plan) -> None:
    job = plan["finishing"][0]
    job["puts"] = [dict(job["puts"][0], units=50), dict(job["puts"][0], units=50)]


def _left_out(plan: Plan) -> None:
    plan["finishing"].pop()


def _begins_before_the_stems_are_there(plan: Plan) -> None:
    job = plan["finishing"][0]
    for field in ("start", "end", "rested"):
        job[field] = _moved(job[field], -2.5)


def _glue_has_not_set(plan: Plan) -> None:
    job = next(job for job in plan["assembly"] if job["id"] == plan["finishing"][0]["assembly"])
    for field in ("start", "end"):
        job[field] = _moved(job[field], -1)


def _sets_at_once(plan: Plan) -> None:
    for job in plan["finishing"]:
        job["rested"] = job["end"]


def _takes_no_minutes(plan: Plan) -> None:
    plan["finishing"][0]["person_minutes"] = 0


def _unpaid(plan: Plan) -> None:
    next(line for line in plan["costs"] if line["what"] == "finishing labour")["amount"] -= 10


def _seal_taken_later(plan: Plan) -> None:
    plan["pieces"][0]["first_use"] = plan["assembly"][-1]["start"]


@pytest.mark.parametrize(
    ("rule", "spoil"),
    [
        ("A8", _fewer_put_together), ("A8", _more_than_the_job_takes), ("A8", _another_thing),
        ("A8", _without_the_seal), ("A8", _twice), ("A8", _left_out), ("A8", _begins_before_the_stems_are_there),
        ("A8", _glue_has_not_set), ("A8", _sets_at_once), ("A9", _takes_no_minutes), ("A12", _unpaid),
        ("A11", _seal_taken_later),
    ],
)  # fmt: skip
def test_each_way_to_spoil_what_is_put_together_is_caught(rule: str, spoil: Callable[[Plan], None]) -> None:
    campaign, plan = campaign_of("sub-assembly"), _plan()
    assert audit(campaign, plan).holds
    data = plan.model_dump(mode="json", by_alias=True)
    spoil(data)
    assert rule in broken_rules(campaign, RunPlan.model_validate(data))


def _changed(**fields: Any) -> Plan:
    data = campaign_of("sub-assembly").model_dump(mode="json", by_alias=True, exclude_unset=True)
    data["products"]["pot"]["sub_assemblies"]["valve"] |= fields
    return data


def _problems_of(data: Plan) -> list[str]:
    with pytest.raises(CampaignProblems) as found:
        read(data)
    return [problem.pointer for problem in found.value.problems]


@pytest.mark.parametrize(
    ("fields", "place"),
    [
        ({"at": "shed"}, "at"), ({"parts": ["cap", "handle"]}, "parts/1"), ({"pieces": ["washer"]}, "pieces/0"),
        ({"parts": [], "pieces": []}, ""), ({"parts": ["cap", "cap"]}, "parts/1"),
        ({"in_hand": {"plum": 3}}, "in_hand/plum"),
    ],
)  # fmt: skip
def test_a_sub_assembly_that_makes_no_sense_is_refused_at_its_field(fields: Plan, place: str) -> None:
    here = "/products/pot/sub_assemblies/valve" + (f"/{place}" if place else "")
    assert _problems_of(_changed(**fields)) == [here]


def test_a_part_is_not_worked_on_after_it_went_into_a_sub_assembly() -> None:
    data = _changed()
    data["finishing_benches"]["printing"] = {"hours": {"mon-fri": "08:00-16:00"}}
    data["parts"]["cap"]["finishing"] = [{"what": "pad printing", "at": "printing", "minutes": 0.1}]
    assert _problems_of(data) == ["/products/pot/sub_assemblies/valve/at"]
    data["finishing_benches"] = dict(reversed(data["finishing_benches"].items()))
    assert read(data)

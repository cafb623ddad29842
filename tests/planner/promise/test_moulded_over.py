"""Parts that are moulded over others (O) in replications: lots wait for what goes into their moulds."""

import json
from datetime import date

import pytest

from examples.situations import FOLDER, campaign_of, plan_of
from planner.campaign.uncertainty import Uncertainty
from planner.control import Unhurried
from planner.planning.make import make_plan
from planner.promise.make import make_promise
from planner.reading import read

PLANS = {}


def _promised(unsure: dict[str, object], replications: int) -> tuple[date | None, date | None]:
    campaign = campaign_of("overmoulding-in-lots")
    if not PLANS:
        PLANS["plan"] = plan_of("overmoulding-in-lots")
    sure = campaign.model_copy(update={"uncertainty": Uncertainty.model_validate(unsure)})
    (tier,) = make_promise(sure, PLANS["plan"], replications=replications).tiers
    return tier.dates.p50, tier.dates.p95


def test_where_all_goes_as_likely_a_promise_is_the_plan() -> None:
    little = {"tools": {"core": {"mount_share": {"early": 0.999, "likely": 1, "late": 1.001}}}}
    assert _promised(little, 50) == (date(2027, 1, 12), date(2027, 1, 12))


def test_a_grip_comes_later_by_what_its_cores_take_longer() -> None:
    """By hand: cores that take six times as long are moulded for 26.5 h from Monday 6:47, to Tuesday 17:45, and rest
    until 19:45; the last lot of grips is moulded to Wednesday noon and leaves that day."""
    slow = {"tools": {"core": {"cycle_share": {"early": 5.9, "likely": 6, "late": 6.1}}}}
    assert _promised(slow, 60) == (date(2027, 1, 13), date(2027, 1, 13))


def _late_cores(when_late: str, wished: bool) -> float:
    """Mean cost where cores and grips share a press, and the cores' tool comes up to ten days late. wished: grips are
    not moulded over cores, but wished after them."""
    data = json.loads((FOLDER / "overmoulding-in-lots.json").read_text(encoding="utf-8"))
    data["presses"].pop("small")
    for name, ready in (("core", "2027-01-12"), ("grip", "2027-01-11")):
        data["tools"][name] |= {"presses": ["big"], "ready": ready}
    if wished:
        data["parts"]["knob"].pop("moulded_over")
        data["products"]["knob"]["parts"]["core"] = 1
        data["products"]["knob"]["colourways"]["cream"]["core"] = ["ink"]
        data["wishes"] = [{"runs": {"tool": "core"}, "then": {"tool": "grip"}}]
    data["uncertainty"] = {"tools": {"core": {"ready_days": {"early": 0, "likely": 5, "late": 10}}}}
    data["planning"] = {"rounds": 1, "when_late": when_late}
    plan = make_plan(read(data), Unhurried())
    assert plan.outcome.expected is not None
    assert not any(rule.left_out for rule in plan.audit.rules)  # the auditor's twin times scenarios anew
    return plan.outcome.expected.mean


@pytest.mark.parametrize("wished", [False, True])
def test_a_press_takes_no_grip_before_the_cores_it_is_moulded_over(wished: bool) -> None:
    """The grip's tool is there, its cores are not: a press that takes what is ready waits like one that keeps its
    order. Taken at once, grips left on the day planned and the mean fell below what the plan costs if all goes well."""
    kept = _late_cores("as planned", wished)
    assert _late_cores("first ready", wished) == pytest.approx(kept, abs=0.01)
    assert _late_cores("plan again", wished) == pytest.approx(kept, abs=0.01)

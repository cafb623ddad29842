"""A3: what a run is said to have waited for: the day a tool was ready on, as people read it or as older plans say."""

from datetime import date, datetime

import pytest

from planner.audit import audit
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.plan.document import RunPlan
from planner.planning.make import make_plan
from planner.reading import read


def made(ready: str) -> tuple[Campaign, RunPlan]:
    campaign = read(
        {
            "name": "waits",
            "start": "2027-01-11T06:00",
            "presses": {"p": {"barrels": [{"holdup_kg": 0.2, "shot_max_g": 200, "clean": True}], "clamp_kn": 500}},
            "tools": {"t": {"cavities": {"cup": 1}, "cycle_s": 36, "clamp_kn": 300, "presses": ["p"], "ready": ready}},
            "resins": {"pp": {"family": "PP", "stock_kg": 90, "natural_colour": "clear"}},
            "colours": {"clear": {"let_down_percent": 0}},
            "parts": {"cup": {"barrels": [{"resin": "pp", "mass_g": 50}]}},
            "products": {"q": {"parts": {"cup": 1}, "colourways": {"w": {"cup": ["clear"]}}}},
            "tiers": {"one": {"units": {"q": 1}}},
            "orders": [{"tier": "one", "units": {"q": ["w"]}, "count": 20}],
            "planning": {"rounds": 1},
        }
    )
    return campaign, make_plan(campaign, Unhurried())


@pytest.mark.parametrize(
    ("ready", "told", "older"),
    [
        ("2027-01-13T12:00", "Wed 13 Jan 2027 12:00", str(datetime(2027, 1, 13, 12))),
        ("2027-01-13T08:05", "Wed 13 Jan 2027 08:05", str(datetime(2027, 1, 13, 8, 5))),
    ],
)
def test_a_moment_is_told_as_people_read_it(ready: str, told: str, older: str) -> None:
    """Plans kept from older versions say it as a number; another moment is a fault either way."""
    campaign, plan = made(ready)
    (run,) = plan.runs
    assert run.waits_for == f"tool t, ready {told}"
    for said, holds in ((told, True), (older, True), ("Thu 13 Jan 2027 12:00", False), ("2027-01-14 12:00:00", False)):
        other = plan.model_copy(
            update={"runs": [run.model_copy(update={"waits_for": f"tool t, ready {said}"})], "why": None}
        )
        (verdict,) = [rule for rule in audit(campaign, other).rules if rule.rule == "A3"]
        assert verdict.holds == holds, said


def test_a_day_is_told_without_a_time() -> None:
    """A press that is open at midnight, when the day begins."""
    campaign, plan = made("2027-01-13")
    assert plan.runs[0].waits_for == "press hours"
    always = campaign.presses["p"].model_copy(update={"hours": {"mon-sun": "00:00-24:00"}})
    campaign = campaign.model_copy(update={"presses": {"p": always}})
    plan = make_plan(campaign, Unhurried())
    assert campaign.tools["t"].ready == date(2027, 1, 13)
    assert plan.runs[0].waits_for == "tool t, ready Wed 13 Jan 2027"
    assert plan.audit is not None
    assert plan.audit.holds

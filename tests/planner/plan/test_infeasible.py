"""Infeasible is an answer: the reason, and the smallest change that would make a plan possible."""

import pytest

from benchmarks.generator import small
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.errors import Infeasible
from planner.plan.make import make_plan


def without_plan(change: dict[str, object]) -> Infeasible:
    """Plan small campaign 3 with top-level sections replaced; the refusal it must end in."""
    campaign = small(3).model_dump(mode="json", by_alias=True) | change
    with pytest.raises(Infeasible) as refused:
        make_plan(Campaign.model_validate(campaign), Unhurried())
    return refused.value


def test_a_changeover_longer_than_every_opening_names_the_press_hours() -> None:
    """Presses open ten minutes at a time; no mount fits."""
    document = small(3).model_dump(mode="json", by_alias=True)
    presses = {
        name: {**press, "hours": {"mon-fri": "08:00-08:10"}, "on_dates": {}}
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

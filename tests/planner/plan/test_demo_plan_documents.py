"""The demo planned without search: each parcel in its carton, each inspected run with its sampling plans, customs."""

import json
from pathlib import Path

import pytest

from planner.control import Unhurried
from planner.planning.make import make_plan
from planner.reading import read

DEMO = Path(__file__).resolve().parents[3] / "examples" / "herb-planter.json"


@pytest.mark.slow
def test_demo_says_cartons_inspection_and_customs() -> None:
    """Every batch has a box that holds its planters; every inspected part of every run an entry; values add up."""
    document = json.loads(DEMO.read_text(encoding="utf-8"))
    document["planning"] = {"rounds": 0, "aim": "cost if all goes well"}
    campaign = read(document)
    plan = make_plan(campaign, Unhurried())
    assert plan.audit is not None
    assert plan.audit.holds
    for batch in plan.batches:
        assert batch.box is not None
        units = sum(n for colourways in batch.contents.values() for n in colourways.values())
        assert sum(laid.thing == "planter" for laid in batch.box.layout) == units
        assert batch.box.carton == ("carton-1" if units == 1 else "carton-3" if units <= 3 else "carton-5")
    asked = {name for name, part in campaign.parts.items() if part.inspection}
    due = {(run.id, part.part) for run in plan.runs for part in run.parts if part.part in asked}
    assert {(found.run, found.part) for found in plan.inspections} == due
    assert {found.part for found in plan.inspections if found.used_up} == {"valve"}
    assert not [c for c in plan.cautions if c.about.startswith("samples")]
    assert sum(one.parcels for one in plan.customs) == sum(line.count for line in campaign.orders)
    assert [one.country for one in plan.customs if not one.border] == ["GB"]

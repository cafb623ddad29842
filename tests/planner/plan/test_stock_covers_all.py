"""A campaign whose parts are all in hand still has units to assemble and parcels to send."""

import pytest

from benchmarks.generator import small
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.demand.items import ordered_items
from planner.planning.make import make_plan


@pytest.mark.filterwarnings("error::RuntimeWarning")
@pytest.mark.parametrize("clean", [False, True], ids=["melt in the barrels", "clean barrels"])
def test_nothing_to_mould_is_planned_to_the_last_parcel(clean: bool) -> None:
    """No run, no purge, no mean of no melts; every parcel packed and sent, and the audit holds."""
    document = small(3).model_dump(mode="json", by_alias=True)
    for press in document["presses"].values():
        press["begins_with"] = []
        for barrel in press["barrels"] if clean else ():
            barrel["holds"] = None
    for part in document["parts"].values():
        part["stock"] = []
    for (part_id, colours), count in ordered_items(small(3)).items():
        document["parts"][part_id]["stock"].append({"colours": list(colours), "count": 2 * count + 100})
    document["planning"]["rounds"] = 1
    campaign = Campaign.model_validate(document)
    plan = make_plan(campaign, Unhurried())
    assert plan.runs == []
    assert plan.purge_kg == 0
    assert sum(d.parcels for d in plan.dispatches) == sum(line.count for line in campaign.orders)
    assert plan.audit is not None
    assert plan.audit.holds

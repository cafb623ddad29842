"""A slip counts from when a thing could be there: not from a day before the campaign begins."""

from datetime import datetime, timedelta

import pytest

from planner.slips.slip import Slip, slipped
from tests.support.pot_campaign import pot_campaign

START = datetime(2027, 1, 11, 6)


@pytest.mark.parametrize(
    ("ready", "then"),
    [("2026-11-02T06:00", START), ("2027-01-20T06:00", datetime(2027, 1, 20, 6)), (None, START)],
)
def test_a_tool_due_before_the_start_slips_from_the_start(ready, then):
    """Three days, whether it was due long ago, comes later, or was said to be there."""
    campaign = pot_campaign()
    assert campaign.start == START
    name = next(iter(campaign.tools))
    tool = type(campaign.tools[name]).model_validate(
        campaign.tools[name].model_dump(mode="json", exclude_unset=True) | {"ready": ready}
    )
    campaign = campaign.model_copy(update={"tools": campaign.tools | {name: tool}})
    assert slipped(campaign, Slip("tool", name, 3)).tools[name].ready == then + timedelta(days=3)

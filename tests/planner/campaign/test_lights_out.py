"""How long a press goes on alone, by hand."""

import pytest

from planner.campaign import Campaign
from planner.campaign.lights_out import lights_out_seconds
from tests.support.pot_campaign import CAMPAIGN


def alone(lights_out: dict | None, attended: dict | None) -> int:
    """Of the first press of the pots, whose fastest tool has a cycle of 30 s at an efficiency of 0.8."""
    data = Campaign.model_validate(CAMPAIGN).model_dump(mode="json", by_alias=True)
    name = next(iter(data["presses"]))
    data["floor"]["attended"] = attended
    data["presses"][name] |= {"lights_out": lights_out, "efficiency": 0.8}
    for tool in data["tools"].values():
        tool["cycle_s"] = 30 if name in tool["presses"] else 5
    return lights_out_seconds(Campaign.model_validate(data), name)


@pytest.mark.parametrize(
    ("lights_out", "seconds"),
    [
        ({"hours": 4}, 14400),
        ({"hours": 4, "bin_shots": 100}, 3750),  # 100 shots of 30 / 0.8 s
        ({"hours": 1, "bin_shots": 1000}, 3600),
        (None, 0),
    ],
)
def test_its_hours_or_until_the_bin_is_full(lights_out, seconds) -> None:
    assert alone(lights_out, {"hours": {"mon": "08:00-16:00"}}) == seconds


def test_with_people_all_the_time_nobody_leaves() -> None:
    assert alone({"hours": 4}, None) == 0

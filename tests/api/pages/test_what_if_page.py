"""Variants by a few clicks, slips in words, two plans side by side: what the API says, shown."""

import pytest

from tests.api.shelf import publish_pots
from tests.support.pot_campaign import pot_campaign

TOOL = next(iter(pot_campaign().tools))
PRESS = next(iter(pot_campaign().presses))


def test_a_tool_late_becomes_a_variant(desk):
    """A child of this plan whose campaign has the tool that much later."""
    plan_id = publish_pots(desk.service)
    answer = desk.client.post(
        f"/plans/{plan_id}/what-if", data={"change": "tool", "name": TOOL, "days": "10"}, follow_redirects=False
    )
    assert answer.status_code == 303
    [child] = desk.client.get(f"/v1/plans?parent={plan_id}").json()["plans"]
    assert f"{TOOL} 10 days later" in child["title"]
    assert desk.client.get(f"/v1/plans/{child['id']}/campaign").json()["tools"][TOOL]["ready"].startswith("2027-01-")
    assert child["title"] in desk.client.get(f"/plans/{plan_id}/what-if").text


def test_a_saturday_shift_becomes_a_variant(desk):
    """The press's week has that Saturday."""
    plan_id = publish_pots(desk.service)
    data = {"change": "saturday", "name": PRESS, "hours": "07:00-12:00"}
    answer = desk.client.post(f"/plans/{plan_id}/what-if", data=data, follow_redirects=False)
    assert answer.status_code == 303
    campaign = desk.client.get(f"/v1{answer.headers['location']}/campaign").json()
    assert campaign["presses"][PRESS]["hours"]["sat"] == "07:00-12:00"


@pytest.mark.parametrize(
    ("typed", "field"),
    [({"change": "tool", "name": TOOL, "days": "soon"}, "days"),
     ({"change": "saturday", "name": PRESS, "hours": "all day"}, "hours")],
)  # fmt: skip
def test_what_cannot_be_stands_beside_its_field(desk, typed, field):
    """And no variant is made."""
    plan_id = publish_pots(desk.service)
    answer = desk.client.post(f"/plans/{plan_id}/what-if", data=typed)
    assert answer.status_code == 422
    assert f'id="{field}-problem"' in answer.text
    assert f'value="{typed[field]}"' in answer.text
    assert desk.client.get(f"/v1/plans?parent={plan_id}").json()["plans"] == []

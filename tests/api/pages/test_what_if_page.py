"""Variants by a form, any number of changes at once; plans side by side: what the API says, shown."""

import re

import pytest

from api.pages.variant_changes import change
from planner.reading import read
from planner.slips.patches import json_patched
from tests.api.plan_fixtures import publish_pots, roomy_pots
from tests.support.pot_plan import pot_plan

PLAN = pot_plan()
CAMPAIGN = roomy_pots()
TOOL, PRESS = next(iter(CAMPAIGN.tools)), next(iter(CAMPAIGN.presses))
PRODUCT = next(iter(CAMPAIGN.products))
WAY = next(iter(CAMPAIGN.products[PRODUCT].colourways))
PIECE = next(name for name, piece in CAMPAIGN.pieces.items() if piece.arrivals)


def changed(**typed: str):
    """The campaign that the form makes, read and checked, and what it says of itself."""
    made = change(CAMPAIGN, PLAN, {name.replace("__", "."): text for name, text in typed.items()})
    assert made.problems == {}
    document = CAMPAIGN.model_dump(mode="json", by_alias=True, exclude_unset=True)
    return read(json_patched(document, made.patch)), made.said


def test_a_tool_late():
    """At the same hour, that many calendar days after it was due."""
    campaign, said = changed(**{f"tool__{TOOL}__days": "10"})
    assert str(campaign.tools[TOOL].ready).startswith("2027-01-21")
    assert said == [f"{TOOL} 10 days later"]
    campaign, said = changed(**{f"tool__{TOOL}__days": "1"})
    assert str(campaign.tools[TOOL].ready).startswith("2027-01-12")
    assert said == [f"{TOOL} 1 day later"]


def test_hours_of_a_press():
    """A Saturday beside the week; an hour longer each day; one more press like it for the same tools."""
    campaign, _ = changed(**{f"press__{PRESS}__saturday": "07:00-12:00", f"press__{PRESS}__longer": "1"})
    assert campaign.presses[PRESS].hours["sat"] == "07:00-12:00"
    assert campaign.presses[PRESS].hours["mon"] == "06:00-15:00"
    campaign, _ = changed(**{f"press__{PRESS}__another": "2"})
    assert {f"{PRESS}-2", f"{PRESS}-3"} < campaign.presses.keys()
    assert f"{PRESS}-3" in campaign.tools[TOOL].presses
    assert campaign.presses[f"{PRESS}-2"].barrels[0].holds is None


def test_people():
    """One more packer is there in every span of the bench."""
    campaign, _ = changed(people__packing="1", people__setters="2")
    assert campaign.packing.people == CAMPAIGN.packing.people + 1
    assert campaign.floor.setters == CAMPAIGN.floor.setters + 2
    assert all("x" in text for text in campaign.packing.hours.values())


def test_a_delivery_halved_and_late():
    """Half of each delivery, four days later."""
    before = CAMPAIGN.pieces[PIECE].arrivals
    campaign, _ = changed(**{f"piece__{PIECE}__share": "50", f"piece__{PIECE}__days": "4"})
    after = campaign.pieces[PIECE].arrivals
    assert [a.amount for a in after] == [b.amount // 2 for b in before]
    assert all(str(a.on)[:10] > str(b.on)[:10] for a, b in zip(after, before, strict=True))


def test_a_colourway_given_up():
    """Its orders go to the others, or go."""
    campaign, _ = changed(**{f"drop__{PRODUCT}__{WAY}": "move"})
    assert WAY not in campaign.products[PRODUCT].colourways
    assert sum(line.count for line in campaign.orders) == sum(line.count for line in CAMPAIGN.orders)
    campaign, _ = changed(**{f"drop__{PRODUCT}__{WAY}": "drop"})
    assert sum(line.count for line in campaign.orders) < sum(line.count for line in CAMPAIGN.orders)


def test_runs_that_stay():
    """The first runs of a press, in their order."""
    campaign, _ = changed(**{f"press__{PRESS}__pin": "1"})
    first = next(run for run in sorted(PLAN.runs, key=lambda r: r.start) if run.press == PRESS)
    [pinned] = campaign.presses[PRESS].begins_with
    assert (pinned.tool, [f"pp/{c}" for c in pinned.colours]) == (first.tool, first.melts)


def test_several_changes_become_one_variant(app):
    """A child of this plan that has all of them, under a title that says them."""
    plan_id = publish_pots(app.service)
    data = {f"tool.{TOOL}.days": "3", f"press.{PRESS}.saturday": "07:00-12:00", "people.packing": "1", "aim": "waste"}
    answer = app.client.post(f"/plans/{plan_id}/what-if", data=data, follow_redirects=False)
    assert answer.status_code == 303, re.findall('class="problem"[^>]*>([^<]*)', answer.text)
    [child] = app.client.get(f"/v1/plans?parent={plan_id}").json()["plans"]
    for part in (f"{TOOL} 3 days later", f"{PRESS} on Saturdays", "1 more at packing", "least purge waste"):
        assert part in child["title"]
    campaign = app.client.get(f"/v1/plans/{child['id']}/campaign").json()
    assert campaign["presses"][PRESS]["hours"]["sat"] == "07:00-12:00"
    assert campaign["planning"]["aim"] == "waste"
    assert child["title"] in app.client.get(f"/plans/{plan_id}/what-if").text


@pytest.mark.parametrize(
    ("field", "typed"),
    [(f"tool.{TOOL}.days", "soon"), (f"press.{PRESS}.saturday", "all day"), (f"press.{PRESS}.longer", "20"),
     (f"press.{PRESS}.pin", "99"), ("people.packing", "0.5"), (f"piece.{PIECE}.share", "300")],
)  # fmt: skip
def test_what_cannot_be_stands_beside_its_field(app, field, typed):
    """What was typed is kept, and no variant is made."""
    plan_id = publish_pots(app.service)
    answer = app.client.post(f"/plans/{plan_id}/what-if", data={field: typed, "people.setters": "1"})
    assert answer.status_code == 422
    assert f'id="{field}-problem"' in answer.text
    assert f'name="{field}" value="{typed}"' in answer.text
    assert 'name="people.setters" value="1"' in answer.text
    assert app.client.get(f"/v1/plans?parent={plan_id}").json()["plans"] == []


def test_nothing_filled_in_is_said(app):
    """No variant that is the plan itself."""
    plan_id = publish_pots(app.service)
    answer = app.client.post(f"/plans/{plan_id}/what-if", data={"people.packing": ""})
    assert answer.status_code == 422
    assert "Nothing is changed yet" in answer.text


def test_what_the_campaign_refuses_is_told_and_nothing_is_lost(app):
    """A change that leaves a campaign that cannot be planned."""
    plan_id = publish_pots(app.service)
    data = {f"drop.{PRODUCT}.{way}": "drop" for way in CAMPAIGN.products[PRODUCT].colourways}
    answer = app.client.post(f"/plans/{plan_id}/what-if", data=data)
    assert answer.status_code == 422
    assert 'class="problem"' in answer.text


def test_the_form_says_how_many_runs_each_press_has(app):
    """So that who keeps the first ones knows out of how many."""
    text = app.client.get(f"/plans/{publish_pots(app.service)}/what-if").text
    asked = [line for line in text.splitlines() if "Keep the first" in line]
    assert len(asked) == len(CAMPAIGN.presses)
    for line, press in zip(asked, CAMPAIGN.presses, strict=True):
        own = sum(run.press == press for run in PLAN.runs)
        assert f"of {own})" in line

"""The page at the press: what is written down there stands in the floor's log."""

import re

from planner.plan.document import OthersBefore
from tests.api.plan_fixtures import publish, publish_pots
from tests.support.pot_campaign import pot_campaign
from tests.support.pot_plan import pot_plan

RUN = pot_plan().runs[1]


def test_shots_scrap_stop_and_purge_reach_the_log(app):
    """Three buttons, three entries; good parts are cavities times shots less scrap."""
    plan_id = publish_pots(app.service)
    here = f"/plans/{plan_id}/press"
    part = RUN.parts[0].part
    for typed in (
        {"what": "shots", "shots": "120", f"scrap-{part}": "7"},
        {"what": "downtime", "hours": "0.5"},
        {"what": "purge", "kg": "1.4"},
    ):
        answer = app.client.post(here, data={"run": RUN.id} | typed)
        assert answer.status_code == 200, re.findall('class="problem"[^>]*>([^<]*)', answer.text)
        assert "Written down" in answer.text
    entries = [one["entry"] for one in app.client.get(f"/v1/plans/{plan_id}/actuals").json()["entries"]]
    assert [entry["what"] for entry in entries] == ["shots", "downtime", "purge"]
    assert entries[0]["good"] == {part: 120 * pot_campaign().tools[RUN.tool].cavities[part] - 7}
    assert (entries[2]["from"], entries[2]["to"], entries[2]["kg"]) == ("pp/white", "pp/sage", 1.4)
    assert "120 of" in app.client.get(f"{here}?run={RUN.id}").text


def test_what_cannot_be_stands_beside_its_field(app):
    """More scrap than parts, letters for figures: nothing is logged, what was typed is kept."""
    plan_id = publish_pots(app.service)
    part = RUN.parts[0].part
    for typed, field in (
        ({"what": "shots", "shots": "ten"}, "shots"),
        ({"what": "shots", "shots": "2", f"scrap-{part}": "900"}, f"scrap-{part}"),
        ({"what": "downtime", "hours": "-3"}, "hours"),
        ({"what": "purge", "kg": ""}, "kg"),
    ):
        answer = app.client.post(f"/plans/{plan_id}/press", data={"run": RUN.id} | typed)
        assert answer.status_code == 422
        assert f'id="{field}-problem"' in answer.text
        for name, value in typed.items():
            assert name == "what" or f'value="{value}"' in answer.text
    assert app.client.get(f"/v1/plans/{plan_id}/actuals").json()["entries"] == []


def test_it_is_said_when_and_why(app):
    """Evening entries: a time of day is the last one there was, a day may stand before it; reasons are kept."""
    plan_id = publish_pots(app.service)
    here = f"/plans/{plan_id}/press"
    for typed in (
        {"what": "shots", "shots": "120", "at": "2027-01-12 9pm", "why": "black specks"},
        {"what": "downtime", "hours": "0.5", "at": "2027-01-12 14:30", "why": "no material"},
        {"what": "downtime", "hours": "1", "at": "05:15"},
    ):
        answer = app.client.post(here, data={"run": RUN.id} | typed)
        assert answer.status_code == 200, re.findall('class="problem"[^>]*>([^<]*)', answer.text)
    entries = [one["entry"] for one in app.client.get(f"/v1/plans/{plan_id}/actuals").json()["entries"]]
    assert [entry["at"][:16] for entry in entries] == ["2027-01-12T21:00", "2027-01-12T14:30", "2027-01-11T05:15"]
    assert [entry.get("note", "") for entry in entries] == ["black specks", "no material", ""]
    page = app.client.get(f"{here}?run={RUN.id}").text
    assert "no material" in page
    for wrong in ("half past", "25:00", "soon 14:30"):
        answer = app.client.post(here, data={"run": RUN.id, "what": "downtime", "hours": "1", "at": wrong})
        assert answer.status_code == 422
        assert 'id="at-downtime-problem"' in answer.text
        assert f'value="{wrong}"' in answer.text


def test_what_is_in_the_press_is_said_before_it_is_heated(app):
    """What others left, what nobody knows, and what to do where they take over; nothing where nobody else is."""
    plan = pot_plan()
    run = next(one for one in plan.runs if one.changeover and one.changeover.purges)
    told = OthersBefore(since=run.start, until=run.start, left=["unknown melt"])
    purge = run.changeover.purges[0].model_copy(update={"from_": "unknown melt", "where": "hot runner"})
    change = run.changeover.model_copy(update={"after_others": told, "purges": [purge]})
    other = run.model_copy(update={"changeover": change, "others_from": run.end})
    runs = [other if one.id == run.id else one for one in plan.runs]
    plan_id = publish(app.service, pot_campaign(), plan.model_copy(update={"runs": runs}))
    page = app.client.get(f"/plans/{plan_id}/press?run={run.id}").text
    assert "nobody knows what is in barrel 1: ask them before you heat it" in page
    assert "Nobody knows what is in the hot runner behind barrel 1: ask whoever had it before you heat it" in page
    assert "others take the press over from" in page
    assert "nobody knows what is in barrel 1" in app.client.get(f"/plans/{plan_id}/runs").text
    assert "Who else is at the presses?" in app.client.get(f"/plans/{plan_id}").text
    plain = publish_pots(app.service)
    assert "obody knows" not in app.client.get(f"/plans/{plain}/press?run={run.id}").text

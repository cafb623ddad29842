"""The list of campaigns and what can be done with one: named, searched, sorted, duplicated, put away, taken back."""

import json
import re
import time
from types import SimpleNamespace

from sqlalchemy import func, select

from api.languages import wording
from api.pages import campaign
from tests.api.plan_fixtures import publish_pots, waiting
from tests.planner_double import SMALL_CAMPAIGN
from worker.records.tables import MouldingCampaign, Plan


def names(app, **asked):
    """Campaigns on the list, in its order."""
    text = app.client.get("/", params=asked).text
    return re.findall(r'<tr><th scope="row"><a href="/plans/[^"]*">([^<]*)</a>', text)


def do(app, plan_id, what, **more):
    return app.client.post(f"/plans/{plan_id}/campaign", data={"do": what} | more)


def test_plans_made_from_another_are_one_campaign(app):
    """A variant is no further line in the list; the campaign's page has both."""
    plan_id = publish_pots(app.service)
    answer = app.client.post(
        f"/v1/plans/{plan_id}/variants", json={"variants": [{"title": "Pots: later", "patch": {}}]}
    )
    assert answer.status_code == 202, answer.text
    assert names(app) == ["Pots"]
    listed = app.client.get("/").text
    assert "2 plans" in listed
    assert f'<th scope="row"><a href="/plans/{plan_id}">Pots</a>' in listed, "what was tried beside it is not it"
    made = json.loads(app.client.get(f"/v1/plans/{plan_id}/campaign").text)
    again = app.client.post(f"/v1/plans/{plan_id}/plan-again", json={"as_of": made["start"]})
    assert again.status_code == 202, again.text
    on = again.json()["plan"]["id"]
    assert f'<th scope="row"><a href="/plans/{on}">Pots</a>' in app.client.get("/").text, "it went on"
    shown = app.client.get(f"/plans/{plan_id}/campaign").text
    assert "later" in shown
    assert "made from another plan" in shown


def test_search_and_sort(app):
    """By a piece of the name, whatever its case; newest first, or by name."""
    for title in ("Willow", "alder", "Ash %"):
        waiting(app.service, json.dumps(SMALL_CAMPAIGN | {"name": title}), title)
    assert names(app) == ["Ash %", "alder", "Willow"]
    assert names(app, sort="name") == ["alder", "Ash %", "Willow"]
    assert names(app, q="WILL") == ["Willow"]
    assert names(app, q="%") == ["Ash %"]
    assert names(app, q="oak") == []


def test_how_long_ago_a_plan_was_made_is_said(app, monkeypatch):
    plan_id = publish_pots(app.service)
    later = time.time() + 3 * 86400 + 60
    monkeypatch.setattr(campaign, "time", SimpleNamespace(time=lambda: later))
    assert f"{wording.duration(3 * 86400 + 60)} ago" in app.client.get(f"/plans/{plan_id}/campaign").text


def test_renamed_archived_deleted_and_taken_back(app):
    """Each can be undone until it is deleted for good."""
    plan_id = publish_pots(app.service)
    assert do(app, plan_id, "rename", name="  Kennel (4 bowls)  ").status_code == 200
    assert names(app) == ["Kennel (4 bowls)"]
    assert do(app, plan_id, "rename", name="").status_code == 422
    do(app, plan_id, "archive")
    assert (names(app), names(app, shelf="archived")) == ([], ["Kennel (4 bowls)"])
    do(app, plan_id, "unarchive")
    gone = do(app, plan_id, "delete")
    assert "Take it back" in gone.text
    assert (names(app), names(app, shelf="deleted")) == ([], ["Kennel (4 bowls)"])
    do(app, plan_id, "undelete")
    assert names(app) == ["Kennel (4 bowls)"]
    assert do(app, plan_id, "for-good", sure="yes").status_code == 422, "first deleted, then for good"
    do(app, plan_id, "delete")
    assert do(app, plan_id, "for-good").status_code == 422
    assert "Nothing of it is kept any more" in do(app, plan_id, "for-good", sure="yes").text
    with app.service.database.read() as connection:
        for table in (Plan, MouldingCampaign):
            assert connection.execute(select(func.count()).select_from(table)).scalar_one() == 0


def test_a_duplicate_is_a_campaign_of_its_own(app):
    """The same document under another name."""
    plan_id = publish_pots(app.service)
    copied = app.client.post(f"/plans/{plan_id}/campaign", data={"do": "duplicate"}, follow_redirects=False)
    assert copied.status_code == 303
    assert names(app) == ["Copy of Pots", "Pots"]
    new, old = (app.client.get(f"/v1{at}/campaign").json() for at in (copied.headers["location"], f"/plans/{plan_id}"))
    assert new | {"name": ""} == old | {"name": ""}


def test_nobody_does_it_to_anothers(guarded_app):
    """Another workshop's campaign is not there."""
    mine, others = guarded_app.key("willow", "read", "plan"), guarded_app.key("oak", "read", "plan")
    plan_id = guarded_app.client.post("/v1/plans", json=SMALL_CAMPAIGN, headers=mine).json()["id"]
    answer = guarded_app.client.post(f"/plans/{plan_id}/campaign", data={"do": "delete"}, headers=others)
    assert answer.status_code == 404

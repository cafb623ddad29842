"""Planning again from where the floor stands, over HTTP: a child of the plan, what was begun first."""

import pytest

from tests.api.inline_worker import made
from tests.api.slips.test_what_if_api import CAMPAIGN, SHOTS


@pytest.fixture
def plan(app):
    return made(app, app.client.post("/v1/plans", json=CAMPAIGN).json()["id"])


def test_the_floor_is_logged_and_planned_again(app, plan):
    path = f"/v1/plans/{plan['id']}"
    logged = app.client.post(f"{path}/actuals", json={"entries": [SHOTS]})
    assert logged.status_code == 201, logged.text
    news = "what,at,tool,ready,note\ntool,2027-01-05T08:00,b,2027-01-20,steel is late\n"
    more = app.client.post(f"{path}/actuals", content=news, headers={"Content-Type": "text/csv"})
    assert more.status_code == 201, more.text
    assert [e["number"] for e in app.client.get(f"{path}/actuals").json()["entries"]] == [1, 2]
    wish = {"as_of": "2027-01-05T12:00", "told": {"moving_a_run": 5}}
    again = app.client.post(f"{path}/plan-again", json=wish)
    assert again.status_code == 202, again.text
    assert again.headers["Location"] == f"/v1/plans/{again.json()['plan']['id']}"
    child = made(app, again.json()["plan"]["id"])
    assert child["parent"] == plan["id"]
    assert child["plan"]["audit"]["holds"]
    assert child["plan"]["runs"][0]["tool"] == "a"  # begun: goes on first
    changes = app.client.get(f"/v1/plans/{child['id']}/changes").json()
    assert any("later" in words for words in changes["words"])
    learned = app.client.get(f"{path}/learned").json()["learned"]
    assert {x["what"] for x in learned} == {"cycle of tool a", "scrap of tool a"}
    entry = app.client.get(f"{path}/actuals").json()["entries"][1]["id"]
    assert app.client.delete(f"{path}/actuals/{entry}").status_code == 204
    assert app.client.delete(f"{path}/actuals/{entry}").status_code == 404

"""The floor's log as a page, what it teaches, and what planning again changed."""

import re

from tests.api.plan_fixtures import publish_pots
from tests.api.slips.test_what_if_api import CAMPAIGN, made
from tests.support.pot_campaign import pot_campaign

PIECE = next(iter(pot_campaign().pieces))
TOOL = next(iter(pot_campaign().tools))


def entries(app, plan_id):
    return [one["entry"] for one in app.client.get(f"/v1/plans/{plan_id}/actuals").json()["entries"]]


def test_deliveries_parcels_and_news_are_written_down_and_struck(app):
    """Each a form of its own; an entry that was a mistake goes again."""
    plan_id = publish_pots(app.service)
    here = f"/plans/{plan_id}/log"
    for data in (
        {"what": "delivery", "thing": f"piece {PIECE}", "amount": "40"},
        {"what": "packed", "order": "1", "parcels": "3"},
        {"what": "tool", "tool": TOOL, "ready": "2027-01-14"},
    ):
        answer = app.client.post(here, data=data)
        assert answer.status_code == 200, re.findall('class="problem"[^>]*>([^<]*)', answer.text)
        assert "Written down." in answer.text
    said = entries(app, plan_id)
    assert [one["what"] for one in said] == ["delivery", "packed", "tool"]
    assert (said[0]["id"], said[0]["amount"], said[1]["line"], said[2]["ready"]) == (PIECE, 40, 0, "2027-01-14")
    strike = re.search(r'action="(/plans/[^"]+/strike)"', app.client.get(here).text)[1]
    assert "Struck out." in app.client.post(strike).text
    assert [one["what"] for one in entries(app, plan_id)] == ["delivery", "packed"]


def test_what_cannot_be_stands_beside_its_field(app):
    """What was typed is kept, nothing is logged."""
    plan_id = publish_pots(app.service)
    for data, field in (
        ({"what": "delivery", "thing": f"piece {PIECE}", "amount": "some"}, "amount"),
        ({"what": "packed", "order": "nobody", "parcels": "3"}, "order"),
        ({"what": "packed", "order": "1", "parcels": "99999"}, "parcels"),
        ({"what": "tool", "tool": TOOL, "ready": "soon"}, "ready"),
    ):
        answer = app.client.post(f"/plans/{plan_id}/log", data=data)
        assert answer.status_code == 422
        assert f'id="{field}-problem"' in answer.text
        assert f'value="{data[field]}"' in answer.text
    assert entries(app, plan_id) == []


def test_a_file_of_entries_is_written_down_whole_or_not_at_all(app):
    """CSV as the API takes it; a line that cannot be is named."""
    plan_id = publish_pots(app.service)
    good = f"what,at,of,id,amount\ndelivery,2027-01-12T09:00,piece,{PIECE},5\n"
    for content, status in ((good + "delivery,2027-01-12T09:00,piece,nothing,5\n", 422), (good, 200)):
        files = {"file": ("log.csv", content, "text/csv"), "what": (None, "file")}
        answer = app.client.post(f"/plans/{plan_id}/log", files=files)
        assert answer.status_code == status
        assert ('id="file-problem"' in answer.text) == (status == 422)
    assert len(entries(app, plan_id)) == 1


def _log(app, plan_id, hours):
    """Run a goes slower than planned; 1000 shots a run take 3 days as planned."""
    many = [
        {"what": "shots", "at": f"2027-01-0{4 + n}T12:00", "press": "one", "tool": "a", "colours": ["grey"],
         "shots": 100, "good": {"a": 98}, "hours": hours} for n in range(3)
    ]  # fmt: skip
    answer = app.client.post(f"/v1/plans/{plan_id}/actuals", json={"entries": many})
    assert answer.status_code == 201, answer.text


def test_lessons_are_offered_with_their_evidence_and_taken_over_when_chosen(app):
    """Nothing by itself; what is ticked is in the campaign that is planned again, and what changed is said."""
    plan_id = made(app, app.client.post("/v1/plans", json=CAMPAIGN).json()["id"])["id"]
    here = f"/plans/{plan_id}/lessons"
    assert "Nothing yet." in app.client.get(here).text
    _log(app, plan_id, 9.0)
    text = app.client.get(here).text
    learned = app.client.get(f"/v1/plans/{plan_id}/learned").json()["learned"]
    assert [one["what"] for one in learned] == ["cycle of tool a", "scrap of tool a"]
    assert "300 shots in 3 entries" in text
    assert app.client.post(here, data={}).status_code == 422
    answer = app.client.post(here, data={"lesson": "cycle of tool a"}, follow_redirects=False)
    assert answer.status_code == 303, answer.text
    child = answer.headers["location"].rpartition("/")[2]
    campaign = app.client.get(f"/v1/plans/{child}/campaign").json()
    assert campaign["tools"]["a"]["cycle_s"] == learned[0]["learned"]
    assert campaign["tools"]["a"]["scrap_share"] == 0
    assert campaign["start"] == "2027-01-06T12:00:00"  # the last entry's moment: the log runs ahead of the clock
    assert campaign["parts"]["a"]["stock"][0]["count"] == 3 * 98
    made(app, child)
    said = app.client.get(f"/v1/plans/{child}/changes").json()
    page = app.client.get(f"/plans/{child}/changes").text
    assert all(word in page for word in said["words"])
    assert said["words"]


def test_a_plan_without_runs_has_a_press_page(app):
    """Stock covers all: the page says so instead of failing."""
    campaign = CAMPAIGN | {"parts": {n: p | {"stock": [{"colours": ["grey"], "count": 2000}]}
                                     for n, p in CAMPAIGN["parts"].items()}}  # fmt: skip
    plan_id = made(app, app.client.post("/v1/plans", json=campaign).json()["id"])["id"]
    assert "nothing to mould" in app.client.get(f"/plans/{plan_id}/press").text

"""What is sent to the floor's log: taken as it is, or each entry that is none named by its place."""

from tests.api.plan_fixtures import publish_pots
from tests.support.pot_campaign import pot_campaign

STOP = {"what": "downtime", "at": "2027-01-12T10:00", "press": next(iter(pot_campaign().presses)), "hours": 1}


def test_an_entry_is_logged_and_what_is_none_is_named(app):
    """Neither a word that nobody knows nor a number is an entry; nothing beside them is logged."""
    here = f"/v1/plans/{publish_pots(app.service)}/actuals"
    refused = app.client.post(here, json={"entries": [STOP, STOP | {"what": "rain"}, 3]})
    assert refused.status_code == 422, refused.text
    assert [problem["pointer"] for problem in refused.json()["errors"]] == ["/entries/1/what", "/entries/2/what"]
    assert app.client.get(here).json()["entries"] == []
    taken = app.client.post(here, json={"entries": [STOP]})
    assert taken.status_code == 201, taken.text
    assert [one["entry"]["what"] for one in app.client.get(here).json()["entries"]] == ["downtime"]

"""A rejected lot on the page: the parcels that may hold it are named, ticked ones go out again by the log."""

import html
import json
import re

from tests.api.plan_fixtures import publish_pots
from tests.planner.actuals.test_rejected import COLOURS, EACH, IN_ORDER, PART

ITEM = json.dumps([PART, *COLOURS], ensure_ascii=False)


def test_the_parcels_are_named_and_what_is_ticked_goes_into_the_log(app):
    plan_id = publish_pots(app.service)
    api, here = f"/v1/plans/{plan_id}/actuals", f"/plans/{plan_id}/rejected"
    packed = {"what": "packed", "at": "2027-01-19T10:00", "line": 0, "parcels": 3}
    assert app.client.post(api, json={"entries": [packed]}).status_code == 201
    lot = {"item": ITEM, "pieces": str(3 * IN_ORDER + 7), "since": "2027-01-18"}
    text = app.client.get(here, params=lot).text
    assert "3 parcels may hold pieces of it" in text
    assert "7 pieces of it are still here" in text
    ticked = re.findall(r'name="again" value="([^"]+)"', text)
    assert len(ticked) == 1
    answer = app.client.post(here, data=lot | {"again": ticked}, follow_redirects=False)
    assert answer.status_code == 303
    log = [one["entry"] for one in app.client.get(api).json()["entries"]][1:]
    assert [entry["what"] for entry in log] == ["came-back", "lot"]
    assert (log[0]["line"], log[0]["parcels"], log[1]["pieces"]) == (0, 3, 7)
    assert "can hold it" in app.client.get(here, params=lot).text  # they are known to go out again


def test_nothing_ticked_rejects_the_whole_lot(app):
    """Whoever knows that those parcels hold none of it says so by not ticking them."""
    plan_id = publish_pots(app.service)
    lot = {"item": ITEM, "pieces": str(5 * EACH), "since": "2027-01-18"}
    assert app.client.post(f"/plans/{plan_id}/rejected", data=lot, follow_redirects=False).status_code == 303
    [one] = app.client.get(f"/v1/plans/{plan_id}/actuals").json()["entries"]
    assert (one["entry"]["what"], one["entry"]["pieces"]) == ("lot", 5 * EACH)


def test_what_cannot_be_read_is_told_beside_its_field(app):
    plan_id = publish_pots(app.service)
    answer = app.client.get(f"/plans/{plan_id}/rejected", params={"item": "x", "pieces": "many", "since": "soon"})
    assert answer.status_code == 422
    text = html.unescape(answer.text)
    for field, said in (
        ("item", "choose the part"),
        ("pieces", "'many' is no number"),
        ("since", "is no day"),
    ):
        assert f'id="{field}-problem"' in text
        assert said in text

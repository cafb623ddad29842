"""The service plans what reading makes of a document, and keeps the document as it was sent."""

import json

import pytest

from examples.situations import FOLDER, plan_of
from tests.api.inline_worker import made


@pytest.mark.parametrize("situation", ["trial-on-our-press", "moving-vote"])
def test_a_campaign_is_planned_as_by_the_library(app, situation):
    """A trial takes its press's hours, and orders that a vote moves are apart: the same runs, cost and branches."""
    sent = json.loads((FOLDER / f"{situation}.json").read_text(encoding="utf-8"))
    plan_id = app.client.post("/v1/plans", json=sent).json()["id"]
    ours, theirs = made(app, plan_id)["plan"], json.loads(plan_of(situation).model_dump_json(by_alias=True))
    for part in ("runs", "batches", "costs"):
        assert ours[part] == theirs[part]
    assert ours["outcome"]["expected"] == theirs["outcome"]["expected"]
    assert ours["outcome"]["expected"]["branches"]
    assert app.client.get(f"/v1/plans/{plan_id}/campaign").json() == sent
    for page in ("", "/runs", "/parcels", "/buying", "/purge", "/pictures", "/paper", "/change", "/guess", "/promises"):
        assert app.client.get(f"/plans/{plan_id}{page}").status_code == 200, page
    again = app.client.post(f"/v1/plans/{plan_id}/variants", json={"variants": [{"patch": {"name": "again"}}]}).json()
    assert made(app, again["plans"][0]["id"])["plan"]["outcome"]["total"] == pytest.approx(theirs["outcome"]["total"])

"""The service plans what reading makes of a document, and keeps the document as it was sent."""

import json

import pytest

from examples.situations import FOLDER
from planner.control import Unhurried
from planner.planning.make import make_plan
from planner.reading import read
from tests.api.inline_worker import made


def of_two_rounds(situation):
    """The situation's document, searched for two rounds, not for sixty: what is compared is the same after either."""
    sent = json.loads((FOLDER / f"{situation}.json").read_text(encoding="utf-8"))
    sent["planning"]["rounds"] = 2
    return sent


@pytest.mark.parametrize("situation", ["trial-on-our-press", "moving-vote"])
def test_a_campaign_is_planned_as_by_the_library(app, situation):
    """A trial takes its press's hours, and orders that a vote moves are apart: the same runs, cost and branches."""
    sent = of_two_rounds(situation)
    plan_id = app.client.post("/v1/plans", json=sent).json()["id"]
    theirs = json.loads(make_plan(read(sent), Unhurried()).model_dump_json(by_alias=True))
    ours = made(app, plan_id)["plan"]
    for part in ("runs", "batches", "costs"):
        assert ours[part] == theirs[part]
    assert ours["outcome"]["expected"] == theirs["outcome"]["expected"]
    assert ours["outcome"]["expected"]["branches"]
    assert app.client.get(f"/v1/plans/{plan_id}/campaign").json() == sent
    for page in ("", "/runs", "/parcels", "/buying", "/purge", "/pictures", "/paper", "/change", "/guess", "/promises"):
        assert app.client.get(f"/plans/{plan_id}{page}").status_code == 200, page
    again = app.client.post(f"/v1/plans/{plan_id}/variants", json={"variants": [{"patch": {"name": "again"}}]}).json()
    assert made(app, again["plans"][0]["id"])["plan"]["outcome"]["total"] == pytest.approx(theirs["outcome"]["total"])


SHOTS = {
    "what": "shots", "at": "2027-01-12T00:00", "press": "big", "tool": "pot", "colours": ["cream"], "shots": 400,
    "good": {"pot": 800},
}  # fmt: skip


def test_planned_again_while_a_vote_is_open_orders_brought_then_are_told_apart_again(app):
    """From Wednesday's floor, and then with other orders: the vote moves 600 of those that there are."""
    sent = of_two_rounds("moving-vote")
    plan_id = app.client.post("/v1/plans", json=sent).json()["id"]
    made(app, plan_id)
    assert app.client.post(f"/v1/plans/{plan_id}/actuals", json={"entries": [SHOTS]}).status_code == 201
    answer = app.client.post(f"/v1/plans/{plan_id}/plan-again", json={"as_of": "2027-01-13T06:00"})
    again = made(app, answer.json()["plan"]["id"])
    assert again["plan"]["outcome"]["expected"]["branches"]
    kept = app.client.get(f"/v1/plans/{again['id']}/campaign").json()
    assert {colourway for line in kept["orders"] for colourway in line["units"]["pot"]} == {"cream", "moss", "grey"}
    assert set(kept["colours"]) == set(sent["colours"])
    orders = [
        {"tier": "one", "units": {"pot": [colour]}, "count": n} for colour, n in (("moss", 1800), ("cream", 2500))
    ]
    asked = app.client.post(f"/v1/plans/{again['id']}/variants", json={"variants": [{"patch": {"orders": orders}}]})
    assert asked.status_code == 202, asked.text
    then = made(app, asked.json()["plans"][0]["id"])["plan"]
    assert then["audit"]["holds"]
    branches = then["outcome"]["expected"]["branches"]["branches"]
    assert [one["moves"] for one in branches] == [[], ["600 orders of pot from cream to moss"]]
    packed = dict.fromkeys(("cream", "cream or moss", "moss"), 0)
    for batch in then["batches"]:
        for way, each in batch["contents"]["pot"].items():
            packed[way] += each * batch["parcels"]
    assert packed == {"cream": 1900, "cream or moss": 600, "moss": 1800}

"""The trade-off list over HTTP, its plans made in this process as a worker would."""

import csv
import io

import pytest

from tests.api.inline_worker import made
from tests.planner.promise.chains import chain

CAMPAIGN = chain({"a": (3, 3, 4), "b": (4, 4, 6)}).model_dump(mode="json", exclude_unset=True) | {
    "planning": {"rounds": 1}
}


@pytest.fixture
def plan(app):
    answer = app.client.post("/v1/plans", json=CAMPAIGN)
    assert answer.status_code == 202, answer.text
    return made(app, answer.json()["id"])


def asked(app, plan, **question):
    answer = app.client.post(f"/v1/plans/{plan['id']}/frontier", json={"rounds": 1} | question)
    assert answer.status_code == 202, answer.text
    return answer.json()


def test_every_point_is_a_plan_that_was_made_and_audited(app, plan):
    """Six rates are queued as children; the list fills as they are made, and its figures are those of the plans."""
    said = asked(app, plan)
    assert len(said["plans"]) == 6
    assert all(child["parent"] == plan["id"] for child in said["plans"])
    early = app.client.get(said["result"])
    assert early.headers["retry-after"] == "2"
    assert early.json()["waiting"] == 6
    children = [made(app, child["id"]) for child in said["plans"]]
    campaign = app.client.get(f"/v1/plans/{children[-1]['id']}/campaign").json()
    assert (campaign["planning"]["aim"], campaign["planning"]["kg_per_day"]) == ("waste", 10_000)
    found = app.client.get(said["result"]).json()
    assert (found["waiting"], found["failed"]) == (0, 0)
    assert len(found["points"]) + len(found["beaten"]) == 7
    for point in found["points"] + found["beaten"]:
        own = next(p["plan"] for p in [plan, *children] if p["id"] == point["plan"])
        assert point["cost"] == pytest.approx(own["outcome"]["total"])
        assert point["last_dispatch"] == max(d["at"] for d in own["dispatches"])
        assert point["audited"]
    assert "kg" in found["words"]


def test_as_csv_a_line_a_plan(app, plan):
    said = asked(app, plan, rates=[0, 2])
    for child in said["plans"]:
        made(app, child["id"])
    answer = app.client.get(said["result"], headers={"Accept": "text/csv"})
    assert answer.headers["content-type"].startswith("text/csv")
    rows = list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"))))
    assert rows[0][:3] == ["Plan", "Title", "Waste kg"]
    assert len(rows) == 4


@pytest.mark.parametrize(
    ("question", "pointer"),
    [({"rates": []}, "/rates"), ({"rates": [-1]}, "/rates/0"), ({"seconds": 0}, "/seconds"), ({"day": 1}, "/day")],
)
def test_bad_questions_are_told_where(app, plan, question, pointer):
    answer = app.client.post(f"/v1/plans/{plan['id']}/frontier", json=question)
    assert answer.status_code == 422, answer.text
    assert pointer in {error["pointer"] for error in answer.json()["errors"]}
    assert len(app.client.get("/v1/plans").json()["plans"]) == 1


def test_only_variants_of_the_plan_are_put_side_by_side(app, plan):
    other = app.client.post("/v1/plans", json=CAMPAIGN).json()["id"]
    answer = app.client.get(f"/v1/plans/{plan['id']}/frontier?plans={other}")
    assert answer.status_code == 422
    assert app.client.get(f"/v1/plans/{plan['id']}/frontier?plans={'0' * 26}").status_code == 404


def test_sent_twice_it_is_asked_once(app, plan):
    headers = {"Idempotency-Key": "k"}
    path = f"/v1/plans/{plan['id']}/frontier"
    first, second = (app.client.post(path, json={"rates": [0]}, headers=headers) for _ in range(2))
    assert first.json() == second.json()
    assert len(app.client.get("/v1/plans").json()["plans"]) == 2

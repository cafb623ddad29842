"""What-ifs, promises and the floor over HTTP, with a planner and a worker in this process instead of workers."""

import copy
import json

import pytest

from tests.api.inline_worker import made
from tests.planner.promise.chains import chain

CAMPAIGN = chain({"a": (3, 3, 4), "b": (4, 4, 6)}).model_dump(mode="json", exclude_unset=True) | {
    "planning": {"rounds": 1}
}
CAMPAIGN["presses"]["one"]["begins_with"] = []
BY_DAY = copy.deepcopy(CAMPAIGN)
"""The same on a press that works eight hours on weekdays, so that there is something that would help."""
BY_DAY["presses"]["one"]["hours"] = {"mon-fri": "08:00-16:00"}


@pytest.fixture
def plan(app):
    answer = app.client.post("/v1/plans", json=CAMPAIGN)
    assert answer.status_code == 202, answer.text
    return made(app, answer.json()["id"])


def lines(answer):
    assert answer.status_code == 200, answer.text
    return [json.loads(line) for line in answer.text.splitlines()]


def test_variants_are_children_that_begin_from_their_parent(app, plan):
    path = f"/v1/plans/{plan['id']}/variants"
    late = {"title": "a late", "patch": {"tools": {"a": {"ready": "2027-01-14"}}}}
    renamed = {"patch": [{"op": "replace", "path": "/name", "value": "other"}]}
    answer = app.client.post(path, json={"variants": [late, renamed]}, headers={"Idempotency-Key": "v"})
    assert answer.status_code == 202, answer.text
    children = answer.json()["plans"]
    assert [(c["title"], c["parent"]) for c in children] == [("a late", plan["id"]), ("chain (2)", plan["id"])]
    assert app.client.post(path, json={"variants": [late, renamed]}, headers={"Idempotency-Key": "v"}).json() == (
        answer.json()
    )
    campaign = app.client.get(f"/v1/plans/{children[0]['id']}/campaign").json()
    assert campaign["tools"]["a"]["ready"] == "2027-01-14"
    assert len(campaign["planning"]["begin_from"]["presses"]["one"]) == 2
    child = made(app, children[0]["id"])
    assert child["plan"]["audit"]["holds"]
    seen = app.client.get(f"/v1/plans/{child['id']}/comparison").json()
    assert seen["tiers"][0]["days"] > 0
    assert "later" in seen["words"]
    beside = app.client.get(path).json()["variants"]
    assert {v["plan"]["title"]: v["comparison"] for v in beside} == {"a late": seen, "chain (2)": None}
    assert app.client.get(f"/v1/plans/{plan['id']}/comparison").status_code == 404
    same = app.client.get(f"/v1/plans/{plan['id']}/comparison", params={"base": plan["id"]}).json()
    assert same["runs"] == []


def test_a_patch_may_come_as_itself(app, plan):
    """application/merge-patch+json and application/json-patch+json, one change each."""
    path = f"/v1/plans/{plan['id']}/variants"
    for kind, patch in (
        ("merge-patch", {"name": "x"}),
        ("json-patch", [{"op": "test", "path": "/name", "value": "chain"}]),
    ):
        headers = {"Content-Type": f"application/{kind}+json"}
        answer = app.client.post(path, content=json.dumps(patch), headers=headers)
        assert answer.status_code == 202, answer.text


def test_a_change_that_cannot_be_is_refused_whole(app, plan):
    path = f"/v1/plans/{plan['id']}/variants"
    before = len(app.client.get("/v1/plans").json()["plans"])
    good = {"patch": {"name": "fine"}}
    bad = {"patch": [{"op": "remove", "path": "/nowhere"}]}
    answer = app.client.post(path, json={"variants": [good, bad]})
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == "/variants/1/patch/0"
    wrong = app.client.post(path, json={"variants": [{"patch": {"tools": {"a": {"cycle_s": 0}}}}]})
    assert wrong.status_code == 422
    assert wrong.json()["errors"][0]["pointer"] == "/tools/a/cycle_s"
    assert len(app.client.get("/v1/plans").json()["plans"]) == before


def test_what_is_not_made_yet_cannot_be_asked(app):
    waiting = app.client.post("/v1/plans", json=CAMPAIGN).json()["id"]
    for what in ("variants", "slip-table", "levers", "knowing", "promise", "update", "plan-again"):
        body = {"variants": [{"patch": {}}]} if what == "variants" else {}
        body = {"as_of": "2027-01-05T00:00"} if what == "plan-again" else body
        answer = app.client.post(f"/v1/plans/{waiting}/{what}", json=body)
        assert answer.status_code == 409, (what, answer.text)


def test_slip_table_streams_cells_rows_and_the_order(app, plan, inline_worker):
    """Tool a needed first slips ten days; all four cells of both tools are there, audited, and the rows in order."""
    asked = {"slips": [2, 10], "rounds": 1}
    got = lines(app.client.post(f"/v1/plans/{plan['id']}/slip-table", json=asked))
    assert got[0] == {"begun": {"cells": 8, "slips": [2, 10], "parts": 7}}
    cells = [line["cell"] for line in got if "cell" in line]
    assert len(cells) == 8
    assert all(c["audited"] for c in cells)
    rows = {line["row"]["name"]: line["row"] for line in got if "row" in line}
    assert rows["a"]["words"].startswith("Ten days on the a tool: one leaves")
    assert {r["name"] for r in got[-1]["table"]} == {"a", "b"}
    refused = app.client.post(f"/v1/plans/{plan['id']}/slip-table", json={"only": ["nothing"]})
    assert refused.status_code == 422


def test_levers_are_planned_and_cheapest_first(app, inline_worker):
    plan = made(app, app.client.post("/v1/plans", json=BY_DAY).json()["id"])
    got = lines(app.client.post(f"/v1/plans/{plan['id']}/levers", json={"tier": "one"}))
    assert got[0]["begun"]["tried"] >= 4
    costs = [lever["cost_change"] for lever in got[-1]["best"]]
    assert len(costs) > 1
    assert costs == sorted(costs)


def test_what_knowing_is_worth_comes_thing_by_thing(app, inline_worker):
    """With its error, ranked at the end; a campaign that says nothing is unsure is asked to say it first."""
    unsure = copy.deepcopy(CAMPAIGN)
    unsure["tiers"]["one"] |= {"promised": "2027-01-11", "late_cost_per_day": 1}
    plan = made(app, app.client.post("/v1/plans", json=unsure).json()["id"])
    got = lines(app.client.post(f"/v1/plans/{plan['id']}/knowing", json={}))
    assert got[0]["begun"]["things"] == 2
    found = [line["known"] for line in got if "known" in line]
    assert {one["factor"] for one in found} <= {"tool/a/cycle", "tool/b/cycle"}
    assert len(found) >= 1
    assert {one["factor"] for one in got[-1]["ranked"]["things"]} == {one["factor"] for one in found}
    sure = {name: value for name, value in CAMPAIGN.items() if name != "uncertainty"}
    calm = made(app, app.client.post("/v1/plans", json=sure).json()["id"])
    refused = app.client.post(f"/v1/plans/{calm['id']}/knowing", json={})
    assert refused.status_code == 422
    assert refused.json()["errors"][0]["pointer"] == "/uncertainty"


def test_promise_is_the_same_twice_and_kept_in_the_update(app, plan, inline_worker):
    path = f"/v1/plans/{plan['id']}"
    asked = {"floors": 300, "confidence": 0.9}
    first, again = (app.client.post(f"{path}/promise", json=asked) for _ in range(2))
    assert first.status_code == 200, first.text
    assert first.json() == again.json()
    announced = first.json()["tiers"][0]["announce"]
    wish = {"floors": 300, "confidence": 0.9, "as_of": "2027-01-05"}
    update = app.client.post(f"{path}/update", json=wish)
    assert update.json()["tiers"][0]["day"] == announced
    assert update.json()["tiers"][0]["before"] is None
    text = app.client.post(f"{path}/update", json=wish, headers={"Accept": "text/markdown"})
    assert "as announced" in text.text
    assert text.headers["content-type"].startswith("text/markdown")
    page = app.client.post(f"{path}/update", json=wish, headers={"Accept": "text/html"})
    assert "<table>" in page.text
    assert app.client.post(f"{path}/promise", json={"floors": 5}).status_code == 422


SHOTS = {
    "what": "shots", "at": "2027-01-05T00:00", "press": "one", "tool": "a", "colours": ["grey"], "shots": 300,
    "good": {"a": 290}, "hours": 26,
}  # fmt: skip


def test_a_log_with_mistakes_is_refused_whole_with_lines(app, plan):
    path = f"/v1/plans/{plan['id']}/actuals"
    table = (
        "what;at;press;tool;colours;shots;good\n"
        "shots;2027-01-05T00:00;one;a;grey;10;a=9\n"
        "shots;2027-01-05T00:00;two;a;grey;10;a=9\n"
        "shots;yesterday;one;a;grey;10;a=9\n"
    )
    answer = app.client.post(path, content=table, headers={"Content-Type": "text/csv"})
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == "/entries/2/at"
    assert answer.json()["errors"][0]["message"].startswith("line 4: ")
    table = table.replace("yesterday", "2027-01-06T00:00")
    answer = app.client.post(path, content=table, headers={"Content-Type": "text/csv"})
    assert answer.json()["errors"][0]["message"].startswith("line 3: `two`")
    assert app.client.get(path).json()["entries"] == []
    packed = {"what": "packed", "at": "2027-01-06T00:00", "line": 0, "parcels": 600}
    assert app.client.post(path, json={"entries": [packed]}).status_code == 201
    too_many = app.client.post(path, json={"entries": [packed]})
    assert too_many.status_code == 422
    assert "1200 parcels of line 0 packed, 1000 ordered" in too_many.json()["errors"][0]["message"]

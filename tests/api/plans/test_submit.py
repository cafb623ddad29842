"""POST /v1/plans: what is accepted is recorded, what is refused says everything that is wrong."""

import itertools
import json
from dataclasses import replace
from types import SimpleNamespace

from api.demo import DEMO
from api.plans import submit
from api.service.refusals import NotFound
from api.services import plans
from tests.api.plan_fixtures import finish
from tests.planner_double import SMALL_CAMPAIGN, campaign_named
from tests.support.pot_plan import pot_plan


def post(app, document, **headers):
    named = {name.replace("_", "-"): value for name, value in headers.items()}
    return app.client.post("/v1/plans", json=document, headers=named)


def test_accepted_means_recorded_without_a_queue(app):
    """The queue is away; the answer is 202 all the same and the plan is there."""
    answer = post(app, SMALL_CAMPAIGN)
    assert answer.status_code == 202
    read = app.client.get(answer.headers["location"]).json()
    assert (read["status"], read["title"], read["plan"]) == ("queued", "quick", None)
    campaign = app.client.get(answer.headers["location"] + "/campaign").json()
    assert campaign == SMALL_CAMPAIGN


def test_all_problems_at_once_with_pointers(app):
    """Two wrong fields in different corners: both are named, by RFC 6901 pointers that lead to them."""
    document = json.loads(json.dumps(SMALL_CAMPAIGN))
    del document["tools"]["cup"]["cycle_s"]
    document["orders"][0]["count"] = -1
    document["colour"] = {}
    answer = post(app, document)
    assert answer.status_code == 422
    assert answer.headers["content-type"] == "application/problem+json"
    problem = answer.json()
    assert problem["type"] == "/problems/campaign"
    assert {e["pointer"] for e in problem["errors"]} == {"/tools/cup/cycle_s", "/orders/0/count", "/colour"}
    assert all(e["message"] and e["remedy"] for e in problem["errors"])


def test_cross_checks_answer_in_the_makers_words(app):
    """A document whose fields are all fine, but which asks for an unknown tier."""
    document = campaign_named("x", orders=[{"tier": "five", "units": {"cup": ["sage"]}, "count": 1}])
    errors = post(app, document).json()["errors"]
    assert any(e["pointer"].startswith("/orders/0") and "five" in e["message"] for e in errors)


def test_a_hundred_problems_are_enough(app):
    """A document that is wrong as a whole does not get an answer larger than itself."""
    document = campaign_named("x", orders=[{"tier": "one"}] * 5000)
    problem = post(app, document).json()
    assert len(problem["errors"]) == 101
    # the cross-checks stop counting at some point themselves, so the rest is a lower limit
    assert problem["errors"][-1]["message"] == "and at least 401 more problems"


def test_a_repeat_with_the_same_key_is_the_same_plan(app):
    """Sent twice because the first answer got lost: one plan, one answer."""
    first = post(app, SMALL_CAMPAIGN, Idempotency_Key="a1")
    second = post(app, SMALL_CAMPAIGN, Idempotency_Key="a1")
    assert second.status_code == first.status_code == 202
    assert second.headers["location"] == first.headers["location"]
    assert second.json() == first.json()
    assert second.headers["idempotent-replay"] == "true"
    assert len(app.client.get("/v1/plans").json()["plans"]) == 1
    other = post(app, campaign_named("other"), Idempotency_Key="a1")
    assert other.status_code == 422
    assert other.json()["type"] == "/problems/invalid"


def test_a_refused_document_does_not_use_up_the_key(app):
    """The mended document may be sent with the same Idempotency-Key."""
    assert post(app, {"name": "x"}, Idempotency_Key="b1").status_code == 422
    assert post(app, SMALL_CAMPAIGN, Idempotency_Key="b1").status_code == 202


def test_wrong_kinds_and_sizes(app):
    """415, 400 and 413, each as a problem document."""
    body = json.dumps(SMALL_CAMPAIGN).encode()
    kinds = {"Content-Type": "text/plain"}
    assert app.client.post("/v1/plans", content=body, headers=kinds).status_code == 415
    json_kind = {"Content-Type": "application/json"}
    assert app.client.post("/v1/plans", content=b"{", headers=json_kind).status_code == 400
    large = b'{"name": "' + b"x" * app.service.settings.largest_body_bytes + b'"}'
    refused = app.client.post("/v1/plans", content=large, headers=json_kind)
    assert refused.status_code == 413
    assert refused.headers["content-type"] == "application/problem+json"


def test_a_body_that_lies_about_its_length_is_cut_off(app):
    """Sent in pieces without a length: no more is read than allowed."""
    sent = 0

    def endless():
        nonlocal sent
        while sent < 3 * app.service.settings.largest_body_bytes:
            sent += 2**20
            yield b"[" * 2**20

    answer = app.client.post("/v1/plans", content=endless(), headers={"Content-Type": "application/json"})
    assert answer.status_code == 413


def test_a_large_order_book_is_taken_and_counts_as_large(app):
    """100,000 lines, each with the maker's reference; 413 when a body could be eight megabytes."""
    document = json.loads(DEMO.read_text(encoding="utf-8"))
    lines = [line | {"count": 1} for line in document["orders"]]
    document["orders"] = [lines[n % len(lines)] | {"ref": f"B{n:06d}"} for n in range(100_000)]
    for section, held in (("pieces", "stock"), ("resins", "stock_kg"), ("colours", "stock_kg")):
        document[section] = {name: one | {held: 1_000_000} for name, one in document[section].items()}
    answer = post(app, document)
    assert answer.status_code == 202, answer.text[:300]
    assert app.client.get(answer.headers["location"]).json()["queue"] == "large"


def test_who_prefers_to_wait_gets_the_plan_that_ends_meanwhile(app, monkeypatch):
    """A worker ends it at the second look; until then it is looked at again and again, and the answer is the plan."""
    looks = []
    known = plans.with_newest

    def looked(service, workshop_id, plan_id):
        looks.append(plan_id)
        if len(looks) == 2:
            finish(app.service, plan_id, pot_plan())
        return known(service, workshop_id, plan_id)

    monkeypatch.setattr(plans, "with_newest", looked)
    answer = post(app, SMALL_CAMPAIGN, Prefer="wait=50")
    assert (answer.status_code, answer.json()["status"], len(looks)) == (200, "done", 2)
    assert answer.headers["preference-applied"] == "wait=50"
    assert answer.headers["location"] == f"/v1/plans/{looks[0]}"


def test_who_waited_long_enough_gets_what_was_accepted(app, monkeypatch):
    """Nobody works: the clock of this test goes half a second each time it is read."""
    now = itertools.count(0.0, 0.5)
    monkeypatch.setattr(submit, "time", SimpleNamespace(monotonic=lambda: next(now)))
    answer = post(app, SMALL_CAMPAIGN, Prefer="wait=1")
    assert (answer.status_code, "preference-applied" in answer.headers) == (202, False)
    assert app.client.get(answer.headers["location"]).json()["status"] == answer.json()["status"] == "queued"


def test_who_waited_long_enough_is_told_where_the_plan_stands_by_then(app, monkeypatch):
    """A worker takes it while they wait: it is not said to be queued any more."""
    now = itertools.count(0.0, 0.5)
    known = plans.with_newest

    def looked(service, workshop_id, plan_id):
        row, newest = known(service, workshop_id, plan_id)
        return replace(row, status="running", phase="search"), newest

    monkeypatch.setattr(submit, "time", SimpleNamespace(monotonic=lambda: next(now)))
    monkeypatch.setattr(plans, "with_newest", looked)
    answer = post(app, SMALL_CAMPAIGN, Prefer="wait=1")
    assert (answer.status_code, answer.json()["status"]) == (202, "running")
    assert answer.headers["location"] == f"/v1/plans/{answer.json()['id']}"


def test_a_plan_that_is_deleted_while_somebody_waits_is_no_error(app, monkeypatch):
    """The acceptance stands."""
    now = itertools.count(0.0, 0.5)
    monkeypatch.setattr(submit, "time", SimpleNamespace(monotonic=lambda: next(now)))
    monkeypatch.setattr(plans, "with_newest", lambda *_: (_ for _ in ()).throw(NotFound("gone")))
    assert post(app, SMALL_CAMPAIGN, Prefer="wait=1").status_code == 202

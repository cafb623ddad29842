"""Every route times every kind of key. Routes come from the OpenAPI document, so a new one is tested at once."""

import pytest
from fastapi.routing import APIRoute

from api.app import NeedsKeys, make_app
from api.pace import Pace
from tests.api.desk import settings_for
from tests.planner_double import SMALL_CAMPAIGN
from worker.records import keys, workshops
from worker.records.tables import Workshop

OPEN_TO_ALL = {("GET", "/v1/live"), ("GET", "/v1/ready"), ("GET", "/v1/openapi.json"), ("GET", "/v1/metrics")}
"""What needs no key: it says nothing of anybody's."""


QUESTIONS = {("POST", f"/v1/purge/{what}") for what in ("matrix", "order", "findings")} | {
    ("POST", "/v1/plans/{plan_id}/orders/columns"),
    ("POST", "/v1/plans/{plan_id}/orders"),
}
"""Sent with POST because the question is a document; nothing is recorded."""


def operations(document):
    return [
        (method.upper(), path)
        for path, methods in document["paths"].items()
        for method in methods
        if (method.upper(), path) not in OPEN_TO_ALL
    ]


def call(desk, method, path, headers, plan="0" * 26):
    for name in ("{plan_id}", "{key_id}", "{webhook_id}", "{entry_id}", "{study_id}"):
        path = path.replace(name, plan)
    path = path.replace("{number}", "1").replace("{name}", "floor")
    assert "{" not in path, f"say what to put into {path}"
    body = {"json": SMALL_CAMPAIGN} if method in {"POST", "PUT", "PATCH"} else {}
    return desk.client.request(method, path, headers=headers, **body)


def scope_needed(method, path):
    if path.startswith(("/v1/keys", "/v1/webhooks")):
        return "admin"
    return "read" if method == "GET" or (method, path) in QUESTIONS else "plan"


def test_every_route_is_in_the_openapi_document(guarded_desk):
    """So that the tests below miss none."""
    app = guarded_desk.client.app
    told = set(app.openapi()["paths"]) | {"/v1/openapi.json"}
    hidden = {r.path for r in app.routes if isinstance(r, APIRoute)} - told
    assert hidden == set()


def test_the_matrix(guarded_desk):
    """Every route x no key, rubbish, revoked, too small a scope: refused before anything else is looked at."""
    desk = guarded_desk
    found = operations(desk.client.app.openapi())
    assert len(found) > 12
    revoked = desk.key("willow", "read", "plan", "admin")
    key_id = revoked["Authorization"].split("_")[1]
    with desk.service.database.write() as connection:
        assert keys.revoke(connection, key_id, 1.0)
    rubbish = {"Authorization": "Bearer sts_" + "0" * 26 + "_" + "0" * 26}
    all_scopes = {"read", "plan", "admin"}
    without = {need: desk.key("willow", *sorted(all_scopes - {need})) for need in sorted(all_scopes)}
    for method, path in found:
        for headers in ({}, rubbish, revoked, {"Authorization": "Basic eDp5"}):
            answer = call(desk, method, path, headers)
            assert answer.status_code == 401, (method, path, headers)
            assert answer.headers["www-authenticate"].startswith("Bearer")
            assert answer.headers["content-type"] == "application/problem+json"
        small = call(desk, method, path, without[scope_needed(method, path)])
        assert small.status_code == 403, (method, path)
        right = call(desk, method, path, desk.key("willow", scope_needed(method, path)))
        assert right.status_code not in {401, 403, 500}, (method, path)


def test_another_workshops_plan_is_like_no_plan(guarded_desk):
    """Same status, same words, whichever route asks."""
    desk = guarded_desk
    willow, alder = desk.key("willow", "read", "plan"), desk.key("alder", "read", "plan")
    plan = desk.client.post("/v1/plans", json=SMALL_CAMPAIGN, headers=willow).json()["id"]
    for method, path in operations(desk.client.app.openapi()):
        if "{plan_id}" not in path:
            continue
        headers = alder | {"If-Match": "*"}
        theirs, nobodys = call(desk, method, path, headers, plan), call(desk, method, path, headers)
        assert theirs.status_code == nobodys.status_code, (method, path)
        same = {"type", "title", "status", "detail", "errors"}
        assert {k: theirs.json()[k] for k in same} == {k: nobodys.json()[k] for k in same}
    assert desk.client.get("/v1/plans", headers=alder).json()["plans"] == []
    assert desk.client.get(f"/v1/plans/{plan}", headers=willow).json()["status"] == "queued"


def test_the_same_idempotency_key_in_two_workshops(guarded_desk):
    """Two workshops choose the same key: each gets its own plan."""
    desk = guarded_desk
    plans = [
        desk.client.post(
            "/v1/plans", json=SMALL_CAMPAIGN, headers=desk.key(name, "plan") | {"Idempotency-Key": "k"}
        ).json()["id"]
        for name in ("willow", "alder")
    ]
    assert plans[0] != plans[1]


def test_keys_over_http(guarded_desk):
    """Made, shown once, used, listed without its secret, revoked, used no more."""
    desk = guarded_desk
    admin = desk.key("willow", "admin")
    wish = {"label": "press script", "scopes": ["plan"]}
    once = admin | {"Idempotency-Key": "k"}
    made = desk.client.post("/v1/keys", json=wish, headers=once).json()
    bearer = {"Authorization": f"Bearer {made['key']}"}
    assert desk.client.post("/v1/plans", json=SMALL_CAMPAIGN, headers=bearer).status_code == 202
    again = desk.client.post("/v1/keys", json=wish, headers=once).json()
    assert (again["id"], again["key"]) == (made["id"], None)
    listed = desk.client.get("/v1/keys", headers=admin)
    assert made["key"].split("_")[2] not in listed.text
    other = desk.key("alder", "admin")
    assert desk.client.delete(f"/v1/keys/{made['id']}", headers=other).status_code == 404
    assert desk.client.delete(f"/v1/keys/{made['id']}", headers=admin).status_code == 204
    assert desk.client.post("/v1/plans", json=SMALL_CAMPAIGN, headers=bearer).status_code == 401


def test_no_door_without_a_lock(tmp_path):
    """On an address others can reach the service refuses to start without keys, and says what to do."""
    with pytest.raises(NeedsKeys, match="run key make"):
        make_app(settings_for(tmp_path, host="0.0.0.0"))


def test_a_page_from_elsewhere_may_not_ask(desk):
    """On loopback the browser is the way in: foreign Host (rebinding), foreign Origin, cross-site fetches."""
    assert desk.client.get("/v1/plans").status_code == 200
    own = {"Origin": "http://127.0.0.1:8000", "Sec-Fetch-Site": "same-origin"}
    assert desk.client.post("/v1/plans", json=SMALL_CAMPAIGN, headers=own).status_code == 202
    for foreign in (
        {"Host": "evil.example"},
        {"Origin": "http://evil.example"},
        {"Origin": "null"},
        {"Origin": "http://127.0.0.1:9999"},
        {"Sec-Fetch-Site": "cross-site"},
    ):
        answer = desk.client.post("/v1/plans", json=SMALL_CAMPAIGN, headers=foreign)
        assert answer.status_code == 403, foreign


def test_the_pace_is_kept(guarded_desk):
    """Beyond a workshop's requests per minute: 429 and when to come back; others are not touched."""
    desk = guarded_desk
    willow, alder = desk.key("willow", "read"), desk.key("alder", "read")
    workshop_id = workshops.ensure(desk.service.database, "willow", 0.0)
    with desk.service.database.write() as connection:
        connection.execute(
            Workshop.__table__.update().where(Workshop.id == workshop_id).values(max_requests_per_minute=3)
        )
    statuses = [desk.client.get("/v1/plans", headers=willow).status_code for _ in range(4)]
    assert statuses == [200, 200, 200, 429]
    refused = desk.client.get("/v1/plans", headers=willow)
    assert 1 <= int(refused.headers["retry-after"]) <= 20
    assert desk.client.get("/v1/plans", headers=alder).status_code == 200


def test_a_bucket_fills_evenly():
    """Sixty a minute is one a second, after the first sixty."""
    now = 0.0
    pace = Pace(lambda: now)
    assert [pace.wait("w", 60) for _ in range(61)] == [0] * 60 + [1]
    now = 1.0
    assert [pace.wait("w", 60) for _ in range(2)] == [0, 1]
    now = 1000.0
    assert sum(pace.wait("w", 60) == 0 for _ in range(100)) == 60


def test_every_answer_has_the_safe_headers(desk):
    """Also refusals."""
    for path in ("/v1/plans", "/v1/plans/x", "/nowhere", "/v1/live"):
        headers = desk.client.get(path).headers
        assert "frame-ancestors 'none'" in headers["content-security-policy"]
        assert headers["x-content-type-options"] == "nosniff"
        assert "server" not in headers

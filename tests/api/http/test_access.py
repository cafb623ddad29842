"""Every route times every kind of key. Routes come from the OpenAPI document, so a new one is tested at once."""

from functools import cache

import pytest
from fastapi import FastAPI
from fastapi.routing import APIRoute
from sqlalchemy import select

from api.app import ROUTES, make_app
from api.pages.auth import PageRoute
from api.purge.log import EXAMPLE
from api.serving.strangers import NeedsKeys
from planner.studies.parts import Split, Subquestion
from tests.api.app_client import settings_for
from tests.planner_double import SMALL_CAMPAIGN
from worker.records import keys, studies, workshops
from worker.records.tables import Plan, Workshop

OPEN_TO_ALL = {
    ("GET", path)
    for path in ("/v1/live", "/v1/ready", "/v1/openapi.json", "/v1/metrics", "/problems", "/problems/{kind}")
}
"""What needs no key: it says nothing of anybody's."""
PAGES_OPEN_TO_ALL = {
    ("GET", "/sign-in"),
    ("POST", "/sign-in"),
    ("POST", "/sign-out"),
    ("POST", "/reading"),
    ("GET", "/static/{name}"),
    ("GET", "/s/{secret}"),
    ("GET", "/s/{secret}/calendar.ics"),
}
"""Pages without which nobody could come in."""

QUESTIONS = {("POST", f"/v1/purge/{what}") for what in ("colour-changes", "matrix", "order", "findings")} | {
    ("POST", "/v1/plans/{plan_id}/orders/columns"),
    ("POST", "/v1/plans/{plan_id}/orders"),
}
"""Sent with POST because the question is a document; nothing is recorded."""


OWNED = ("plan_id", "key_id", "webhook_id", "entry_id", "study_id", "link_id")
"""Parameters that name something of a workshop's. Whoever adds another one says here whose it is."""
HARMLESS = {"number": "1", "name": "floor", "kind": "quota", "run_id": "run-1"}
"""Parameters that name the same thing for everybody."""
NOBODYS = "0" * 26


def every_route(routes):
    """All of them, however deeply routers are put into routers."""
    for route in routes:
        if isinstance(route, APIRoute):
            yield route
        elif hasattr(route, "original_router"):
            yield from every_route(route.original_router.routes)


@cache
def told():
    """What the OpenAPI document tells of, worked out once: it is the same for every application."""
    paths = FastAPI(routes=ROUTES.routes).openapi()["paths"]
    return [(method.upper(), path) for path, methods in paths.items() for method in methods]


def operations():
    """What the OpenAPI document tells of and asks for a key."""
    return [operation for operation in told() if operation not in OPEN_TO_ALL]


def pages(application):
    """What it does not tell of: pages for people, less those open to all."""
    found = {(method, route.path) for route in every_route(application.routes) for method in route.methods}
    return sorted(found - set(told()) - PAGES_OPEN_TO_ALL)


def call(app, method, path, headers, **owned):
    for name in OWNED:
        path = path.replace(f"{{{name}}}", owned.get(name, NOBODYS))
    for name, value in HARMLESS.items():
        path = path.replace(f"{{{name}}}", value)
    assert "{" not in path, f"say in OWNED or HARMLESS what {path} names"
    body = {"json": SMALL_CAMPAIGN} if method in {"POST", "PUT", "PATCH"} else {}
    return app.client.request(method, path, headers=headers, follow_redirects=False, **body)


def scope_needed(method, path):
    if path.startswith(("/v1/keys", "/v1/webhooks")):
        return "admin"
    if path.startswith("/v1/plans/{plan_id}/links"):
        return "plan"
    return "read" if method == "GET" or (method, path) in QUESTIONS else "plan"


def belongings(app, headers):
    """One of each thing that OWNED names, of the workshop whose key that is."""
    post = app.client.post
    webhook = post("/v1/webhooks", json={"url": "https://192.31.196.1/hook"}, headers=headers)
    entry = post("/v1/purge/log", json=EXAMPLE, headers=headers)
    made = {
        "plan_id": post("/v1/plans", json=SMALL_CAMPAIGN, headers=headers).json()["id"],
        "key_id": post("/v1/keys", json={"label": "x", "scopes": ["read"]}, headers=headers).json()["id"],
        "webhook_id": webhook.json()["id"],
        "entry_id": entry.json()["id"],
    }
    with app.service.database.write() as connection:
        (workshop_id,) = connection.execute(select(Plan.workshop_id).where(Plan.id == made["plan_id"])).one()
        question = studies.Question(made["plan_id"], 1, "promise", {}, "small")
        made["study_id"] = studies.submit(connection, workshop_id, question, Split({}, [Subquestion({}, None)]), 1.0)
    link = {"may": "read", "label": "x"}
    made["link_id"] = post(f"/v1/plans/{made['plan_id']}/links", json=link, headers=headers).json()["id"]
    assert set(made) == set(OWNED)
    return made


def test_no_route_is_missed(guarded_app):
    """Every route is in the OpenAPI document or is a page, which is refused as a page; so the tests below try each."""
    application = guarded_app.client.app
    routes = list(every_route(application.routes))
    found = {(method, route.path) for route in routes for method in route.methods}
    assert set(operations()) <= found, "the walk through the routers misses some"
    assert len(operations()) > 40
    assert len(pages(application)) > 20
    hidden = [route.path for route in routes if not route.include_in_schema and not isinstance(route, PageRoute)]
    assert hidden == []


def test_the_matrix(guarded_app):
    """Every route x no key, rubbish, revoked, too small a scope: refused before anything else is looked at."""
    app = guarded_app
    revoked = app.key("willow", "read", "plan", "admin")
    key_id = revoked["Authorization"].split("_")[1]
    with app.service.database.write() as connection:
        assert keys.revoke(connection, key_id, 1.0)
    rubbish = {"Authorization": "Bearer sts_" + "0" * 26 + "_" + "0" * 26}
    all_scopes = {"read", "plan", "admin"}
    without = {need: app.key("willow", *sorted(all_scopes - {need})) for need in sorted(all_scopes)}
    for method, path in operations():
        for headers in ({}, rubbish, revoked, {"Authorization": "Basic eDp5"}):
            answer = call(app, method, path, headers)
            assert answer.status_code == 401, (method, path, headers)
            assert answer.headers["www-authenticate"].startswith("Bearer")
            assert answer.headers["content-type"] == "application/problem+json"
        small = call(app, method, path, without[scope_needed(method, path)])
        assert small.status_code == 403, (method, path)
        right = call(app, method, path, app.key("willow", scope_needed(method, path)))
        assert right.status_code not in {401, 403, 500}, (method, path)


def test_the_matrix_of_pages(guarded_app):
    """The same for pages: strangers and the revoked are sent to sign in, too small a scope is refused."""
    app = guarded_app
    all_scopes = {"read", "plan", "admin"}
    without = {need: app.key("willow", *sorted(all_scopes - {need})) for need in ("read", "plan")}
    for method, path in pages(app.client.app):
        need = "read" if method == "GET" and path != "/plans/{plan_id}/share" else "plan"
        for headers in ({}, {"Authorization": "Bearer sts_" + "0" * 26 + "_" + "0" * 26}):
            answer = call(app, method, path, headers)
            assert answer.status_code == 303, (method, path)
            assert answer.headers["location"].startswith("/sign-in?next=/"), (method, path)
        assert call(app, method, path, without[need]).status_code == 403, (method, path)
        right = call(app, method, path, app.key("willow", "read", "plan"))
        assert right.status_code not in {401, 403, 500}, (method, path)


def test_anothers_things_are_like_nobodys(guarded_app):
    """Whatever an address names (plan, key, webhook, log entry): same status, same words as for what is not there."""
    app = guarded_app
    scopes = ("read", "plan", "admin")
    willow, alder = app.key("willow", *scopes), app.key("alder", *scopes)
    theirs_are = belongings(app, willow)
    headers = alder | {"If-Match": "*"}
    tried = 0
    for method, path in [*operations(), *pages(app.client.app)]:
        if not any(f"{{{name}}}" in path for name in OWNED):
            continue
        theirs, nobodys = call(app, method, path, headers, **theirs_are), call(app, method, path, headers)
        assert theirs.status_code == nobodys.status_code, (method, path)
        assert theirs.status_code >= 400, (method, path)
        tried += 1
        if theirs.headers["content-type"] == "application/problem+json":
            same = {"type", "title", "status", "detail", "errors"}
            assert {k: theirs.json()[k] for k in same} == {k: nobodys.json()[k] for k in same}
    assert tried > 40
    assert app.client.get("/v1/plans", headers=alder).json()["plans"] == []
    assert app.client.get(f"/v1/plans/{theirs_are['plan_id']}", headers=willow).json()["status"] == "queued"
    for kind in ("keys", "webhooks", "purge/log"):
        listed = app.client.get(f"/v1/{kind}", headers=alder).text
        assert not any(name in listed for name in theirs_are.values())
        assert any(name in app.client.get(f"/v1/{kind}", headers=willow).text for name in theirs_are.values())


def test_the_same_idempotency_key_in_two_workshops(guarded_app):
    """Two workshops choose the same key: each gets its own plan."""
    app = guarded_app
    plans = [
        app.client.post(
            "/v1/plans", json=SMALL_CAMPAIGN, headers=app.key(name, "plan") | {"Idempotency-Key": "k"}
        ).json()["id"]
        for name in ("willow", "alder")
    ]
    assert plans[0] != plans[1]


def test_keys_over_http(guarded_app):
    """Made, shown once, used, listed without its secret, revoked, used no more."""
    app = guarded_app
    admin = app.key("willow", "admin")
    wish = {"label": "press script", "scopes": ["plan"]}
    once = admin | {"Idempotency-Key": "k"}
    made = app.client.post("/v1/keys", json=wish, headers=once).json()
    bearer = {"Authorization": f"Bearer {made['key']}"}
    assert app.client.post("/v1/plans", json=SMALL_CAMPAIGN, headers=bearer).status_code == 202
    again = app.client.post("/v1/keys", json=wish, headers=once).json()
    assert (again["id"], again["key"]) == (made["id"], None)
    listed = app.client.get("/v1/keys", headers=admin)
    assert made["key"].split("_")[2] not in listed.text
    other = app.key("alder", "admin")
    assert app.client.delete(f"/v1/keys/{made['id']}", headers=other).status_code == 404
    assert app.client.delete(f"/v1/keys/{made['id']}", headers=admin).status_code == 204
    assert app.client.post("/v1/plans", json=SMALL_CAMPAIGN, headers=bearer).status_code == 401


def test_no_door_without_a_lock(tmp_path):
    """On an address others can reach the service refuses to start without keys, and says what to do."""
    with pytest.raises(NeedsKeys, match="run key make"):
        make_app(settings_for(tmp_path, host="0.0.0.0"))


def test_a_page_from_elsewhere_may_not_ask(app):
    """On loopback the browser is the way in: foreign Host (rebinding), foreign Origin, cross-site fetches."""
    assert app.client.get("/v1/plans").status_code == 200
    own = {"Origin": "http://127.0.0.1:8000", "Sec-Fetch-Site": "same-origin"}
    assert app.client.post("/v1/plans", json=SMALL_CAMPAIGN, headers=own).status_code == 202
    for foreign in (
        {"Host": "evil.example"},
        {"Origin": "http://evil.example"},
        {"Origin": "null"},
        {"Origin": "http://127.0.0.1:9999"},
        {"Sec-Fetch-Site": "cross-site"},
    ):
        answer = app.client.post("/v1/plans", json=SMALL_CAMPAIGN, headers=foreign)
        assert answer.status_code == 403, foreign


def test_the_pace_is_kept(guarded_app):
    """Beyond a workshop's requests per minute: 429 and when to come back; others are not touched."""
    app = guarded_app
    willow, alder = app.key("willow", "read"), app.key("alder", "read")
    workshop_id = workshops.ensure(app.service.database, "willow", 0.0)
    with app.service.database.write() as connection:
        connection.execute(
            Workshop.__table__.update().where(Workshop.id == workshop_id).values(max_requests_per_minute=3)
        )
    statuses = [app.client.get("/v1/plans", headers=willow).status_code for _ in range(4)]
    assert statuses == [200, 200, 200, 429]
    refused = app.client.get("/v1/plans", headers=willow)
    assert 1 <= int(refused.headers["retry-after"]) <= 60
    assert app.client.get("/v1/plans", headers=alder).status_code == 200


def test_every_answer_has_the_safe_headers(app):
    """Also refusals."""
    for path in ("/v1/plans", "/v1/plans/x", "/nowhere", "/v1/live"):
        headers = app.client.get(path).headers
        assert "frame-ancestors 'none'" in headers["content-security-policy"]
        assert headers["x-content-type-options"] == "nosniff"
        assert "server" not in headers

"""Who is signed in: sessions of their own that signing out ends, keys that end and have followers."""

import hashlib
import sqlite3
import time
from contextlib import closing

from worker.records import keys, sessions


def sign_in(app, *scopes: str) -> str:
    """Signs in with a fresh key; gives the session's secret."""
    key = app.key("willow", *scopes)["Authorization"].removeprefix("Bearer ")
    answer = app.client.post("/sign-in", data={"key": key}, follow_redirects=False)
    assert answer.status_code == 303
    return app.client.cookies["session"]


def test_signing_out_ends_the_session_wherever_it_was_copied_to(guarded_app) -> None:
    """The browser held the key itself: whoever had copied it stayed in."""
    secret = sign_in(guarded_app, "read")
    assert not secret.startswith("sts_")
    assert guarded_app.client.get("/v1/plans").status_code == 200
    guarded_app.client.post("/sign-out")
    assert "session" not in guarded_app.client.cookies
    guarded_app.client.cookies.set("session", secret)
    assert guarded_app.client.get("/v1/plans").status_code == 401
    assert guarded_app.client.get("/", follow_redirects=False).headers["location"] == "/sign-in?next=/"


def test_a_session_ends_with_its_key_and_with_time(guarded_app, monkeypatch) -> None:
    secret = sign_in(guarded_app, "read", "admin")
    (*_, mine) = guarded_app.client.get("/v1/keys").json()["keys"]
    monkeypatch.setattr(time, "time", lambda now=time.time: now() + 31 * 86400)
    assert guarded_app.client.get("/v1/plans").status_code == 401
    monkeypatch.undo()
    guarded_app.client.cookies.set("session", secret)
    assert guarded_app.client.get("/v1/plans").status_code == 200
    assert guarded_app.client.delete(f"/v1/keys/{mine['id']}").status_code == 204
    guarded_app.client.cookies.set("session", secret)
    assert guarded_app.client.get("/v1/plans").status_code == 401


def test_a_session_that_a_browser_kept_too_long_is_over(guarded_app, monkeypatch) -> None:
    """The browser drops the cookie by itself; whoever copied its secret does not. Its key goes on."""
    secret = sign_in(guarded_app, "read")
    now = time.time
    monkeypatch.setattr(time, "time", lambda: now() + sessions.LASTS + 60)
    guarded_app.client.cookies.clear()
    answer = guarded_app.client.get("/v1/plans", headers={"Cookie": f"session={secret}"})
    assert answer.status_code == 401
    monkeypatch.setattr(time, "time", lambda: now() + sessions.LASTS - 60)
    assert guarded_app.client.get("/v1/plans", headers={"Cookie": f"session={secret}"}).status_code == 200


def test_the_records_hold_nothing_that_opens_anything(guarded_app) -> None:
    """Of keys and sessions only the SHA-256 (FIPS 180-4) of their secrets: who reads a backup comes in nowhere."""
    session = sign_in(guarded_app, "read")
    key = guarded_app.key("alder", "read")["Authorization"].rpartition("_")[2]
    with closing(sqlite3.connect(guarded_app.service.database.url.database)) as records:
        written = "\n".join(records.iterdump())
    for secret in (session, key):
        assert secret not in written
        assert hashlib.sha256(secret.encode()).hexdigest() in written


def test_a_session_is_no_key_and_a_key_no_session(guarded_app) -> None:
    secret = sign_in(guarded_app, "read")
    guarded_app.client.cookies.clear()
    assert guarded_app.client.get("/v1/plans", headers={"Authorization": f"Bearer {secret}"}).status_code == 401
    key = guarded_app.key("willow", "read")["Authorization"].removeprefix("Bearer ")
    guarded_app.client.cookies.set("session", key)
    assert guarded_app.client.get("/v1/plans").status_code == 401


def test_a_key_ends_and_says_when(guarded_app, monkeypatch) -> None:
    admin = guarded_app.key("willow", "admin")
    made = guarded_app.client.post("/v1/keys", json={"label": "x", "scopes": ["read"], "days": 3}, headers=admin).json()
    mine = {"Authorization": f"Bearer {made['key']}"}
    assert guarded_app.client.get("/v1/plans", headers=mine).status_code == 200
    assert made["ends_at"] > made["created_at"]
    monkeypatch.setattr(time, "time", lambda now=time.time: now() + 4 * 86400)
    assert guarded_app.client.get("/v1/plans", headers=mine).status_code == 401
    assert guarded_app.client.post(f"/v1/keys/{made['id']}/rotate", headers=admin).status_code == 404


def test_a_key_is_rotated_and_the_old_one_goes_on_for_a_day(guarded_app, monkeypatch) -> None:
    admin = guarded_app.key("willow", "admin")
    old = guarded_app.client.post("/v1/keys", json={"label": "x", "scopes": ["read"]}, headers=admin).json()
    answer = guarded_app.client.post(f"/v1/keys/{old['id']}/rotate", headers=admin)
    assert answer.status_code == 201
    new = answer.json()
    assert (new["label"], new["scopes"]) == ("x", ["read"])
    both = [{"Authorization": f"Bearer {made['key']}"} for made in (old, new)]
    assert [guarded_app.client.get("/v1/plans", headers=one).status_code for one in both] == [200, 200]
    stranger = guarded_app.key("alder", "admin")
    assert guarded_app.client.post(f"/v1/keys/{new['id']}/rotate", headers=stranger).status_code == 404
    monkeypatch.setattr(time, "time", lambda now=time.time: now() + keys.OVERLAP + 1)
    assert [guarded_app.client.get("/v1/plans", headers=one).status_code for one in both] == [401, 200]

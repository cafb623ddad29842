"""A plan shared by links: what they open, what they do not, how they end; and pages that offer what may be done."""

import re
import time
from urllib.parse import urlsplit

import pytest

from api.http.open_to_links import OPEN_TO
from api.serving import reach
from api.serving.reach import reached_at
from tests.api.http.test_access import call, operations, pages
from tests.api.plan_fixtures import publish_pots
from worker.records import workshops
from worker.settings import Settings


@pytest.fixture
def pots(guarded_app):
    """The plan of a workshop on a service that asks for keys, and headers of its maker."""
    service = guarded_app.service
    willow = workshops.ensure(service.database, "willow", 1.0)
    object.__setattr__(service, "local_workshop", willow)
    plan_id = publish_pots(service)
    object.__setattr__(service, "local_workshop", None)
    return plan_id, guarded_app.key("willow", "read", "plan")


def shared(app, pots, **wish):
    """Makes a link and follows it as a stranger's browser; gives where it led, and the link."""
    plan_id, maker = pots
    made = app.client.post(f"/v1/plans/{plan_id}/links", json={"label": "valley", **wish}, headers=maker)
    assert made.status_code == 201, made.text
    answer = app.client.get(urlsplit(made.json()["address"]).path, follow_redirects=False)
    assert answer.status_code == 303, answer.text
    return answer.headers["location"], made.json()


def test_a_link_to_read_opens_the_plan_and_nothing_else(guarded_app, pots):
    """Every page and every operation there is: only those named are opened, of this plan only."""
    app, (plan_id, _) = guarded_app, pots
    where, _ = shared(app, pots, may="read")
    assert where == f"/plans/{plan_id}"
    text = app.client.get(where).text
    assert "Shared with you: valley" in text
    assert forms_in(text) == []
    for leaf in re.findall(rf'href="(/plans/{plan_id}[^"#?]*)"', text):
        assert app.client.get(leaf).status_code == 200, leaf
    opened = set()
    for method, path in everything(app):
        answer = call(app, method, path, {}, plan_id=plan_id)
        if answer.status_code < 400 and answer.headers.get("location", "")[:8] != "/sign-in":
            opened.add((method, path))
    assert opened <= OPEN_TO["read"]
    assert ("GET", "/plans/{plan_id}/runs") in opened
    other = publish_of(app)
    assert app.client.get(f"/plans/{other}", follow_redirects=False).headers["location"].startswith("/sign-in")


def forms_in(text):
    """Forms that change something; how pages are read is anybody's own."""
    found = re.findall(r'<form method="post".*?</form>', text, re.DOTALL)
    return [form for form in found if 'action="/reading"' not in form]


def everything(app):
    """All there is to ask but the stream of events, which goes on until the plan is made."""
    asked = [*operations(), *pages(app.client.app)]
    return [(method, path) for method, path in asked if not path.endswith("/events")]


def publish_of(app):
    """Another plan of the same workshop."""
    service = app.service
    willow = workshops.ensure(service.database, "willow", 1.0)
    object.__setattr__(service, "local_workshop", willow)
    try:
        return publish_pots(service)
    finally:
        object.__setattr__(service, "local_workshop", None)


def test_a_link_for_the_press_writes_the_log_and_nothing_else(guarded_app, pots):
    app, (plan_id, maker) = guarded_app, pots
    where, _ = shared(app, pots, may="log")
    assert where == f"/plans/{plan_id}/press"
    text = app.client.get(where).text
    assert "Write shots down" in text
    assert "Plan again" not in text
    run = re.search(r'name="run" value="([^"]+)"', text)[1]
    answer = app.client.post(where, data={"run": run, "what": "shots", "shots": "12"}, follow_redirects=False)
    assert answer.status_code == 303, answer.text
    log = app.client.get(f"/v1/plans/{plan_id}/actuals", headers=maker).json()["entries"]
    assert [one["entry"]["shots"] for one in log] == [12]
    for method, path in everything(app):
        answer = call(app, method, path, {}, plan_id=plan_id)
        open_here = answer.status_code not in {401, 403} and answer.headers.get("location", "")[:8] != "/sign-in"
        assert not open_here or (method, path) in OPEN_TO["log"], (method, path)
    gone = app.client.delete(f"/v1/plans/{plan_id}/actuals/{log[0]['id']}")
    assert gone.status_code in {401, 403}


def test_a_link_ends_when_it_is_revoked_and_by_itself(guarded_app, pots, monkeypatch):
    app, (plan_id, maker) = guarded_app, pots
    where, first = shared(app, pots, may="read", days=2)
    monkeypatch.setattr(time, "time", lambda now=time.time: now() + 3 * 86400)
    assert app.client.get(where, follow_redirects=False).headers["location"].startswith("/sign-in")
    assert app.client.get(urlsplit(first["address"]).path).status_code == 410
    monkeypatch.undo()
    assert app.client.get(where, follow_redirects=False).status_code in {200, 303}
    where, second = shared(app, pots, may="read")
    assert app.client.get(where).status_code == 200
    assert app.client.delete(f"/v1/plans/{plan_id}/links/{second['id']}", headers=maker).status_code == 204
    assert app.client.get(where, follow_redirects=False).status_code == 303
    listed = app.client.get(f"/v1/plans/{plan_id}/links", headers=maker)
    assert {one["id"] for one in listed.json()["links"]} == {first["id"], second["id"]}
    assert listed.json()["links"][0]["opened_at"]
    assert urlsplit(first["address"]).path[3:] not in listed.text
    nobody = app.key("alder", "read", "plan")
    assert app.client.delete(f"/v1/plans/{plan_id}/links/{first['id']}", headers=nobody).status_code == 404


def test_the_page_makes_lists_and_revokes_links(guarded_app, pots):
    app, (plan_id, maker) = guarded_app, pots
    here = f"/plans/{plan_id}/share"
    assert "write for whom it is" in app.client.post(here, data={"label": " "}, headers=maker).text
    made = app.client.post(here, data={"label": "Press 7 <b>", "may": "log", "days": "7"}, headers=maker).text
    address = re.search(r'value="(http[^"]+/s/[^"]+)"', made)[1]
    assert address.startswith("http://planner.example/s/")
    listed = app.client.get(here, headers=maker).text
    assert "Press 7 &lt;b&gt;" in listed
    assert address not in listed
    revoke = re.search(r'action="([^"]+/revoke)"', listed)[1]
    assert "revoked on" in app.client.post(revoke, headers=maker).text
    assert app.client.get(urlsplit(address).path).status_code == 410


def test_whoever_is_signed_in_stays_who_they_are(guarded_app, pots):
    """A maker who tries their own link still may change the plan."""
    app, (plan_id, maker) = guarded_app, pots
    key = maker["Authorization"].removeprefix("Bearer ")
    app.client.post("/sign-in", data={"key": key})
    shared(app, pots, may="read")
    text = app.client.get(f"/plans/{plan_id}/share").text
    assert "Make a link" in text
    assert "Sign out" in text


def test_a_key_that_may_only_read_is_offered_nothing_else(guarded_app, pots):
    """No page of the plan has a form that this key may not send."""
    app, (plan_id, _) = guarded_app, pots
    reader = app.key("willow", "read")
    seen = 0
    for method, path in pages(app.client.app):
        if method == "GET" and "{entry_id}" not in path:
            answer = call(app, method, path, reader, plan_id=plan_id)
            if answer.status_code == 200:
                seen += 1
                assert not any("<button" in form for form in forms_in(answer.text)), path
    assert seen > 15


def test_a_key_for_a_new_workshop_explains_the_empty_list(guarded_app, pots):
    key = guarded_app.key("alder", "read", "plan")["Authorization"].removeprefix("Bearer ")
    text = guarded_app.client.post("/sign-in", data={"key": key}).text
    assert "opens the workshop “alder”, which has no campaign yet" in text
    assert "key make local" in text


def test_signing_in_leads_back_to_where_a_code_on_paper_led(guarded_app, pots):
    """With the run that stands behind the question mark."""
    answer = guarded_app.client.get(f"/plans/{pots[0]}/press?run=run-2", follow_redirects=False)
    assert answer.headers["location"].endswith(f"/plans/{pots[0]}/press%3Frun%3Drun-2")


def test_the_address_others_reach(monkeypatch):
    """Asked by a name others know: that one. By loopback: none where only this machine is listened to, else the
    network's; what the maker says goes before all."""
    monkeypatch.setattr(reach, "own_address", lambda: "192.168.1.20")
    local, wide = Settings(), Settings(host="0.0.0.0", port=8000)
    assert reached_at(local, "http://127.0.0.1:8000") is None
    assert reached_at(wide, "http://127.0.0.1:8000") == "http://192.168.1.20:8000"
    assert reached_at(wide, "https://plans.example") == "https://plans.example"
    assert reached_at(Settings(host="10.0.0.5"), "http://localhost:9000") == "http://10.0.0.5:9000"
    said = Settings(public_address="https://plans.example/")
    assert reached_at(said, "http://127.0.0.1:8000") == "https://plans.example"
    monkeypatch.setattr(reach, "own_address", lambda: None)
    assert reached_at(wide, "http://localhost:8000") is None


def test_the_print_page_warns_where_no_phone_reaches_the_service(app, guarded_app):
    plan_id = publish_pots(app.service)
    assert "no phone can open them" in app.client.get(f"/plans/{plan_id}/paper").text


def test_a_calendar_program_subscribes_by_the_link_to_read(guarded_app, pots):
    """Without a cookie; key days only unless all are asked for; a link for the press gives none."""
    app, (plan_id, maker) = guarded_app, pots
    _, link = shared(app, pots, may="read")
    app.client.cookies.clear()
    address = urlsplit(link["address"]).path + "/calendar.ics"
    key, whole = app.client.get(address), app.client.get(address + "?what=all")
    assert key.headers["content-type"].startswith("text/calendar")
    assert key.content == app.client.get(f"/v1/plans/{plan_id}/calendar.ics", headers=maker).content
    assert key.text.count("BEGIN:VEVENT") < whole.text.count("BEGIN:VEVENT")
    _, press = shared(app, pots, may="log")
    assert app.client.get(urlsplit(press["address"]).path + "/calendar.ics").status_code == 410
    app.client.delete(f"/v1/plans/{plan_id}/links/{link['id']}", headers=maker)
    assert app.client.get(address).status_code == 410

"""Pages as answers: what they hold, what they refuse, what a browser is allowed to do with them."""

import html
import json
import re
from datetime import date

import pytest

from api.languages import wording
from api.pages import lists
from api.pages.plan import alike
from benchmarks.generator import small
from planner.control import Unhurried
from planner.plan.binding import TierChain
from planner.plan.run_names import RunNames
from planner.planning import verdict
from planner.planning.make import make_plan
from planner.planning.verdict import audited, unexplained
from tests.api.http.test_access import every_route
from tests.api.plan_fixtures import publish, publish_pots, waiting
from tests.planner_double import SMALL_CAMPAIGN
from tests.support.pot_plan import pot_plan

LEAVES = ("", "/runs", "/parcels", "/buying")


def test_the_first_screen_answers_its_questions_in_order(app):
    """Promises, today, what changed, then how sure, cost and waste: in this order of reading."""
    text = app.client.get(f"/plans/{publish_pots(app.service)}?on=2027-01-11").text
    questions = (
        "Will I keep my promises?",
        "What must I do",
        "What has changed?",
        "How sure?",
        "What does it cost?",
        "What is waste?",
    )
    places = [text.index(question) for question in questions]
    assert places == sorted(places)
    assert places[-1] < text.index("The floor over time")
    for tier in pot_plan().tiers:
        assert wording.day(tier.last_dispatch) in text


@pytest.mark.parametrize("leaf", LEAVES)
def test_every_page_of_a_plan_needs_nothing_from_elsewhere(app, leaf):
    """No address with a host, no inline script or style: what the content security policy forbids is not there."""
    answer = app.client.get(f"/plans/{publish_pots(app.service)}{leaf}")
    assert answer.status_code == 200, answer.text
    without_names = answer.text.replace("http://www.w3.org/2000/svg", "")
    assert "://" not in without_names
    assert " style=" not in answer.text
    assert "<style" not in answer.text
    assert "<script>" not in answer.text
    assert "script-src 'self'" in answer.headers["content-security-policy"]
    assert "unsafe" not in answer.headers["content-security-policy"]


def test_every_run_batch_and_material_is_listed(app):
    """The lists hold all of the plan."""
    plan, plan_id = pot_plan(), publish_pots(app.service)
    runs = app.client.get(f"/plans/{plan_id}/runs").text
    assert all(f'id="{run.id}"' in runs for run in plan.runs)
    parcels = app.client.get(f"/plans/{plan_id}/parcels").text
    assert all(f'id="{batch.id}"' in parcels for batch in plan.batches)
    buying = app.client.get(f"/plans/{plan_id}/buying").text
    for material in plan.materials:
        if material.order_by:
            assert wording.short_day(material.order_by) in buying


@pytest.mark.parametrize(("now", "said"), [("2026-12-01", True), ("2027-01-11", False)])
def test_what_can_be_ordered_before_the_campaign_begins_is_told(app, monkeypatch, now, said):
    """Orders begin with the campaign, on 11 January; who looks in December is told that sooner is better."""
    monkeypatch.setattr(lists, "today", lambda: date.fromisoformat(now))
    text = app.client.get(f"/plans/{publish_pots(app.service)}/buying").text
    assert ("No order is dated before the campaign begins" in text) is said


def test_a_plan_that_waits_reads_itself_anew_without_script(app):
    """Live by script; without it the page asks again."""
    plan_id = waiting(app.service, json.dumps(SMALL_CAMPAIGN))
    text = app.client.get(f"/plans/{plan_id}").text
    assert '<noscript><meta http-equiv="refresh"' in text
    assert "Waiting for its turn" in text
    stopped = app.client.post(f"/plans/{plan_id}/stop", follow_redirects=False)
    assert stopped.status_code == 303


def test_a_document_with_problems_comes_back_with_them(app):
    """Each with its line; what was sent is still there to be mended, and mended it is planned."""
    bad = json.dumps(SMALL_CAMPAIGN, indent=1).replace('"cycle_s": 30', '"cycle_s": -30')
    answer = app.client.post("/start/document", files={"text": (None, bad)})
    assert answer.status_code == 422
    line = bad[: bad.index('"cycle_s"')].count("\n") + 1
    assert f"line {line}, <code>/tools/cup/cycle_s</code>" in answer.text
    assert "&#34;cycle_s&#34;: -30" in answer.text
    good = bad.replace("-30", "30")
    planned = app.client.post("/start/document", files={"text": (None, good)}, follow_redirects=False)
    assert planned.status_code == 303
    assert planned.headers["location"].startswith("/plans/")


def test_a_document_that_is_no_json_says_where_it_stops(app):
    """The line and column of the fault, not only that there is one."""
    answer = app.client.post("/start/document", files={"text": (None, '{"name": "x",\n "start" 3}')})
    assert answer.status_code == 422
    assert "line 2, column" in answer.text


def test_another_sites_page_cannot_make_the_browser_send_a_form(app):
    """Cross-site request forgery: refused by origin, and by what the browser says of the request."""
    for headers in ({"Origin": "http://elsewhere.example"}, {"Sec-Fetch-Site": "cross-site"}):
        answer = app.client.post("/start/demo", headers=headers, follow_redirects=False)
        assert answer.status_code == 403
    assert app.client.get("/v1/plans").json()["plans"] == []


def test_every_form_of_every_page_refuses_another_site(app):
    """Whatever page is added: its form can only be sent from here."""
    plan_id = publish_pots(app.service)
    routes = [
        route
        for route in every_route(app.client.app.routes)
        if "POST" in route.methods and not route.path.startswith("/v1")
    ]
    assert len(routes) >= 15
    for route in routes:
        path = re.sub(r"\{[a-z_]+\}", plan_id, route.path)
        answer = app.client.post(path, headers={"Origin": "http://elsewhere.example"}, follow_redirects=False)
        assert answer.status_code == 403, path


def test_a_link_from_elsewhere_may_be_followed(app):
    """Reading a page by a link is no forgery."""
    headers = {"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate", "Sec-Fetch-Dest": "document"}
    assert app.client.get("/", headers=headers).status_code == 200
    assert app.client.get("/", headers={"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "cors"}).status_code == 403


def test_where_others_can_come_in_a_person_signs_in_with_the_key(guarded_app):
    """Redirected to the question, let in by the key, kept in a cookie scripts and other sites cannot use."""
    client = guarded_app.client
    asked = client.get("/", follow_redirects=False)
    assert (asked.status_code, asked.headers["location"]) == (303, "/sign-in?next=/")
    wrong = client.post("/sign-in", data={"key": "nonsense", "next": "/start"})
    assert wrong.status_code == 401
    assert "unknown, was revoked or has ended" in wrong.text
    key = guarded_app.key("moulders", "read", "plan")["Authorization"].removeprefix("Bearer ")
    signed = client.post("/sign-in", data={"key": key, "next": "//evil.example"}, follow_redirects=False)
    assert signed.headers["location"] == "/"
    cookie = signed.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie
    assert client.get("/").status_code == 200
    assert client.get("/v1/plans").status_code == 200
    forged = client.post("/start/demo", headers={"Origin": "http://evil.example"}, follow_redirects=False)
    assert forged.status_code == 403


def test_another_workshops_plan_does_not_exist(guarded_app):
    """A page says the same of it as of no plan at all."""
    client = guarded_app.client
    theirs = guarded_app.key("others", "read", "plan")
    plan_id = client.post("/v1/plans", json=SMALL_CAMPAIGN, headers=theirs).json()["id"]
    assert client.get(f"/plans/{plan_id}", headers=theirs).status_code == 200
    key = guarded_app.key("moulders", "read", "plan")["Authorization"].removeprefix("Bearer ")
    client.post("/sign-in", data={"key": key})
    anothers, nobodys = (client.get(f"/plans/{one}") for one in (plan_id, "0" * 26))
    assert anothers.status_code == nobodys.status_code == 404
    assert "There is nothing here" in anothers.text
    page = [re.sub("Request [0-9a-z]{26}", "", one.text).replace(plan_id, "0" * 26) for one in (anothers, nobodys)]
    assert page[0] == page[1]


def test_the_page_says_what_binds(app):
    """The plan's own sentences, each tier's chain, what a little more is worth."""
    campaign = small(9)
    rounds = campaign.planning.model_copy(update={"rounds": 1})
    plan = make_plan(campaign.model_copy(update={"planning": rounds}), Unhurried())
    text = html.unescape(app.client.get(f"/plans/{publish(app.service, campaign, plan)}").text)
    called = RunNames(plan.runs)
    assert called.with_names(plan.why.words) in text
    assert all(called.with_names(chain.words) in text for chain, _ in alike(plan.why.chains))
    assert all(more.what in text for more in plan.why.worth)


def test_page_and_api_say_that_an_explanation_was_left_out(app, monkeypatch):
    """The plan is there; the caution says what it does not say, and why; the workshop's lists and paper work."""
    monkeypatch.setattr(verdict, "unexplained", unexplained)
    campaign = small(9)
    rounds = campaign.planning.model_copy(update={"rounds": 1})
    plan = make_plan(campaign.model_copy(update={"planning": rounds}), Unhurried())
    runs = [run.model_copy(update={"waits_for": "a setter"}) for run in plan.runs]
    plan_id = publish(app.service, campaign, audited(campaign, plan.model_copy(update={"runs": runs})))
    text = html.unescape(app.client.get(f"/plans/{plan_id}").text)
    assert "What is holding you up?" not in text
    assert "found wrong and is left out" in text
    cautions = app.client.get(f"/v1/plans/{plan_id}").json()["plan"]["cautions"]
    assert cautions[-1]["about"] == "what binds this plan"
    for leaf in ("", "/runs"):
        assert app.client.get(f"/plans/{plan_id}{leaf}").status_code == 200
    for leaf in ("workbook.xlsx", "lists/runs.csv", "paper.pdf", "pictures/floor.svg"):
        assert app.client.get(f"/v1/plans/{plan_id}/{leaf}").status_code == 200, leaf


def test_what_holds_tiers_up_alike_is_said_once():
    """One of them in full, the others by name; another reason stays by itself."""
    words = ("pair is all gone by Tue.", "one is all gone by Fri.", "trio is all gone by Tue.")
    chains = [TierChain.model_construct(tier=said.split()[0], words=said) for said in words]
    assert [(chain.tier, others) for chain, others in alike(chains)] == [("pair", ["trio"]), ("one", [])]

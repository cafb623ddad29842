"""A run's own page: what it is, why it is here, what it costs elsewhere; moved by a wish, planned beside first."""

import html
import json
import re
import time

import pytest

from examples.situations import campaign_of
from planner.control import Unhurried
from planner.plan.run_names import RunNames
from planner.planning.make import make_plan
from planner.reading import read
from tests.api.plan_fixtures import finish, publish


@pytest.fixture(scope="module")
def made():
    """The example of wishes with the first two of them, so that feet may go elsewhere."""
    example = campaign_of("wishes")
    campaign = example.model_copy(update={"wishes": example.wishes[:2]})
    return campaign, make_plan(campaign, Unhurried())


@pytest.fixture
def plan_id(app, made):
    return publish(app.service, *made)


@pytest.fixture
def foot(made):
    """A run of feet in cream."""
    return next(run for run in made[1].runs if run.tool == "foot" and run.melts[0].endswith("/cream"))


def text_of(answer) -> str:
    return html.unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.text)))


def test_it_says_what_it_is_and_why_it_is_here(app, plan_id, made, foot):
    answer = app.client.get(f"/plans/{plan_id}/runs/{foot.id}")
    assert answer.status_code == 200, answer.text
    text = text_of(answer)
    called = RunNames(made[1].runs)
    assert str(called[foot.id]) in text
    assert f"{foot.shots:,}".replace(",", " ") in text
    here = sorted((run for run in made[1].runs if run.press == foot.press), key=lambda run: run.start)
    for beside in (here.index(foot) - 1, here.index(foot) + 1):
        if 0 <= beside < len(here):
            assert called[here[beside].id].what in text
    if foot.waits_for:
        assert called.with_names(foot.waits_for) in text
    assert "What would it cost elsewhere?" in text
    assert app.client.get(f"/plans/{plan_id}/runs/run-9999").status_code == 404


def test_elsewhere_is_worked_out_and_priced(app, plan_id, foot, inline_worker):
    where = app.client.post(f"/plans/{plan_id}/runs/{foot.id}/elsewhere", follow_redirects=False).headers["location"]
    study = where.partition("study=")[2].partition("#")[0]
    deadline = time.monotonic() + 120
    while app.client.get(f"/v1/studies/{study}").json()["status"] not in ("done", "failed"):
        assert time.monotonic() < deadline
        time.sleep(0.1)
    answer = app.client.get(f"/v1/studies/{study}").json()
    assert answer["status"] == "done", answer
    [one] = answer["result"]["elsewhere"]
    text = text_of(app.client.get(f"/plans/{plan_id}/runs/{foot.id}"))
    assert one["kept"]
    assert f"{one['price']:.2f} EUR" in text
    assert f"Plan it on {one['press']}, beside this plan" in app.client.get(where).text


def test_where_it_was_let_go_fills_the_form_and_changes_nothing(app, plan_id, made, foot):
    other = next(press for press in made[0].presses if press != foot.press)
    text = app.client.get(f"/plans/{plan_id}/runs/{foot.id}?press={other}&at=2027-01-20T08:10").text
    assert f'<option value="{other}" selected>' in text
    later = app.client.get(f"/plans/{plan_id}/runs/{foot.id}?press={foot.press}&at=2027-01-20T08:10").text
    assert '<option value="not_before" selected>' in later
    assert 'value="2027-01-20"' in later
    near = app.client.get(f"/plans/{plan_id}/runs/{foot.id}?press={foot.press}&at={foot.start:%Y-%m-%dT%H:%M}").text
    form = near.partition('id="move"')[2].partition("</form>")[0]
    assert "selected" not in form.replace('<option value="" selected>', "")
    assert app.client.get("/v1/plans").json()["plans"][0]["id"] == plan_id
    assert app.client.get(f"/plans/{plan_id}/runs/{foot.id}?press=nowhere&at=never").status_code == 200


def test_moved_it_is_planned_beside_and_taken_with_its_price_shown(app, plan_id, made, foot):
    """The wish is in a plan of its own; its page has the price; taken, it is in the first plan's next revision."""
    other = next(press for press in made[0].presses if press != foot.press)
    moved = app.client.post(f"/plans/{plan_id}/runs/{foot.id}/move", data={"move-press": other}, follow_redirects=False)
    assert moved.status_code == 303, moved.text
    beside = moved.headers["location"].rpartition("/")[2]
    assert beside != plan_id
    document = app.client.get(f"/v1/plans/{beside}/campaign").json()
    assert document["wishes"][-1] == {"runs": {"tool": "foot", "colours": ["cream"]}, "press": other}
    before = json.loads(app.client.get(f"/v1/plans/{plan_id}/campaign").content)
    assert len(before["wishes"]) == len(document["wishes"]) - 1
    plan = make_plan(read(document), Unhurried())
    finish(app.service, beside, plan)
    text = text_of(app.client.get(f"/plans/{beside}"))
    line = plan.wishes[-1]
    assert f"{line.words} : can be had; it costs {line.costs:.2f} EUR" in text
    assert "Take it into that plan" in text
    taken = app.client.post(f"/plans/{beside}/wishes/take", follow_redirects=False)
    assert taken.headers["location"] == f"/plans/{plan_id}"
    after = app.client.get(f"/v1/plans/{plan_id}/campaign").json()
    assert after["wishes"][-1] == document["wishes"][-1]
    begun = after["planning"]["begin_from"]["presses"]
    assert {press: [run["tool"] for run in runs] for press, runs in begun.items() if runs} == {
        press: [run.tool for run in sorted(plan.runs, key=lambda run: run.start) if run.press == press]
        for press in {run.press for run in plan.runs}
    }


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ({}, "choose another press, or say when"),
        ({"move-when": "done_by", "move-day": "some day"}, "move-day-problem"),
        ({"move-press": "nowhere"}, "nowhere"),
        ({"move-when": "done_by", "move-day": "14 Jan 2027", "move-time": "late"}, "move-day-problem"),
    ],
)
def test_what_cannot_be_meant_is_said_beside_its_field(app, plan_id, foot, typed, told):
    answer = app.client.post(f"/plans/{plan_id}/runs/{foot.id}/move", data=typed, follow_redirects=False)
    assert answer.status_code == 422
    assert told in html.unescape(answer.text)
    assert len(app.client.get("/v1/plans").json()["plans"]) == 1

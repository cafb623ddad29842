"""Slips, levers, promises, updates: asked by a form, shown as far as the workers are, kept for the next visit."""

import html
import re
import time
from datetime import date

import pytest
from scipy import stats

from api.languages import wording
from api.languages.wording import signed
from api.services.standing_promise import how_sure, two_errors
from planner.promise.make import make_promise
from tests.api.plan_fixtures import publish, publish_pots, roomy_pots, simulate
from tests.api.slips.test_what_if_api import BY_DAY, CAMPAIGN, made
from tests.support.pot_campaign import pot_campaign
from tests.support.pot_plan import pot_plan
from worker.records import events

TOOL = next(iter(pot_campaign().tools))


@pytest.fixture
def plan_id(app):
    return publish_pots(app.service)


def asked(app, path: str, data: dict[str, str]) -> str:
    """The page's address once the question is asked."""
    answer = app.client.post(path, data=data, follow_redirects=False)
    assert answer.status_code == 303, answer.text
    return str(answer.headers["location"])


def test_slips_are_shown_as_they_come(app, plan_id):
    """Before any answer: how many there will be, and a page that renews itself; a reload keeps the question."""
    where = asked(app, f"/plans/{plan_id}/slips", {"only": TOOL})
    text = app.client.get(where).text
    assert "data-waits" in text
    assert "Waiting for a worker" in text
    assert "study-" in text  # the script that renews it
    assert f"<option selected>{TOOL}</option>" in app.client.get(f"/plans/{plan_id}/slips").text
    stop = re.search(r'action="(/plans/[^"]+/stop)"', text)[1]
    stopped = app.client.post(stop, data={"back": "slips"})
    assert stopped.status_code == 200


def test_slips_say_what_the_study_says(app, plan_id, inline_worker):
    """Every cell of the study stands on the page, worst first; the page rests once all is there."""
    where = asked(app, f"/plans/{plan_id}/slips", {"only": TOOL})
    study_id = where.rpartition("=")[2]
    study = _answered(app, study_id)
    text = app.client.get(where).text
    assert "data-waits" not in text
    [row] = study["result"]["rows"]
    assert row["words"].replace("'", "&#39;") in text
    assert f"{TOOL}: {row['verdict']}" in text
    assert text.count('data-label="Runs moved"') == len(row["cells"])
    dearer = [cell["cost_change"] for cell in row["cells"] if cell["cost_change"]]
    assert dearer
    costs = re.findall(r'data-label="Cost, EUR">([^<]*)</td>', text)
    assert costs == [signed(cell["cost_change"]) if cell["possible"] else "–" for cell in row["cells"]]


def _answered(app, study_id):
    until = time.monotonic() + 600
    while time.monotonic() < until:
        study = app.client.get(f"/v1/studies/{study_id}").json()
        if study["status"] not in {"queued", "running"}:
            assert study["status"] == "done", study
            return study
        time.sleep(0.05)
    raise AssertionError("not answered")


@pytest.fixture
def chained(app):
    """A real plan of two runs on one press."""
    answer = app.client.post("/v1/plans", json=CAMPAIGN)
    return made(app, answer.json()["id"])["id"]


def test_promises_and_update_say_what_the_simulation_says(app, chained, inline_worker):
    """The dates of the study are those of the page and of the update; a kept update is told apart from a draft."""
    where = asked(app, f"/plans/{chained}/promises", {"confidence": "0.8"})
    promise = _answered(app, where.rpartition("=")[2])["result"]
    text = app.client.get(where).text
    [tier] = promise["tiers"]
    for day in (tier["announce"], tier["dates"]["p50"], tier["dates"]["p95"]):
        assert wording.day(date.fromisoformat(day)) in text
    assert "simulated campaigns" in text
    assert f"When a tool is late, {wording.WHEN_LATE[promise['policy']]}." in text
    here = f"/plans/{chained}/update"
    assert "Dates are simulated and ready" in app.client.get(here).text
    draft = app.client.post(here, data={"words": "The tool is here.", "do": "draft"})
    announced = date.fromisoformat(tier["announce"])
    assert f"{announced.day} {announced:%B %Y}" in draft.text
    assert "The tool is here." in draft.text
    form = fields(draft.text)
    assert f"{announced.day} {announced:%B %Y}" in form["text"]
    mine = form | {"text": form["text"] + "\nSee you soon & <b>bye</b>", "do": "save"}
    kept = app.client.post(here, data=mine)
    assert "Draft kept." in kept.text
    assert fields(app.client.get(here).text)["text"].endswith("See you soon & <b>bye</b>")  # also on another visit
    sent = app.client.post(here, data=fields(kept.text) | {"do": "send"})
    assert "Kept as sent" in sent.text
    assert "See you soon &amp; &lt;b&gt;bye" in sent.text.partition("Sent before")[2]
    assert "text" not in fields(sent.text)
    [one] = app.client.get(f"/v1/plans/{chained}/updates").json()["updates"]
    assert one["update"]["text"].endswith("<b>bye</b>")
    assert one["update"]["tiers"][0]["day"] == tier["announce"]
    later = app.client.post(f"/v1/plans/{chained}/update", json={"keep": False, "as_of": "2027-01-05"}).json()
    assert later["tiers"][0]["before"] == tier["announce"]


def fields(text):
    """What a browser would send of the page's draft."""
    form = text.partition("data-draft")[2].partition("</form>")[0]
    found = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', form))
    areas = re.findall(r'<textarea[^>]* name="([^"]+)"[^>]*>\n(.*?)</textarea>', form, re.DOTALL)
    chosen = re.search(r'<option value="([^"]+)" selected', form)
    return found | {name: html.unescape(said) for name, said in areas} | ({"confidence": chosen[1]} if chosen else {})


def test_two_who_write_the_same_draft_lose_nothing(app, chained, inline_worker):
    """The second one is shown the first one's text, keeps the own, and goes on top of it knowingly."""
    _answered(app, asked(app, f"/plans/{chained}/promises", {"confidence": "0.8"}).rpartition("=")[2])
    here = f"/plans/{chained}/update"
    seen = fields(app.client.post(here, data={"do": "draft"}).text)
    assert app.client.post(here, data=seen | {"text": "First was here", "do": "save"}).status_code == 200
    second = app.client.post(here, data=seen | {"text": "Second too", "do": "save"})
    assert second.status_code == 409
    assert "changed this draft meanwhile" in second.text
    assert "First was here" in second.text.partition("as somebody else wrote it")[2]
    assert fields(second.text)["text"] == "Second too"
    assert fields(app.client.get(here).text)["text"] == "First was here"
    assert app.client.post(here, data=fields(second.text) | {"do": "save"}).status_code == 200
    assert fields(app.client.get(here).text)["text"] == "Second too"


def test_the_script_keeps_a_draft_and_hears_of_others(app, chained):
    """Each time with the edition that it has seen; sent off by somebody else, it is told so."""
    here, script = f"/plans/{chained}/update", {"X-Draft": "1"}
    first = app.client.post(here, data={"words": "a", "do": "save"}, headers=script).json()
    assert first["edition"] == 1
    seen = {key: str(value) for key, value in first.items()}
    assert app.client.post(here, data=seen | {"words": "ab", "do": "save"}, headers=script).json()["edition"] == 2
    late = app.client.post(here, data=seen | {"words": "ac", "do": "save"}, headers=script)
    assert late.status_code == 409
    assert "changed this draft meanwhile" in late.json()["told"]
    app.client.post(here, data=seen | {"do": "put-away"})
    gone = app.client.post(here, data=seen | {"edition": "2", "words": "ad", "do": "save"}, headers=script)
    assert "put it away" in gone.json()["told"]
    assert "ab" not in app.client.get(here).text.partition("<textarea")[2].partition("</textarea>")[0]


def test_nothing_is_sent_before_there_is_a_draft(app, chained):
    answer = app.client.post(f"/plans/{chained}/update", data={"words": "hello", "do": "send"})
    assert answer.status_code == 422
    assert "Write a draft first" in answer.text
    assert app.client.get(f"/v1/plans/{chained}/updates").json() == {"updates": []}


def test_an_update_waits_for_its_dates_and_keeps_the_words(app, chained):
    """No minute of a page that hangs: it says what it waits for."""
    answer = app.client.post(f"/plans/{chained}/update", data={"words": "A word of ours", "do": "draft"})
    assert answer.status_code == 200
    assert "The dates are being simulated" in answer.text
    assert "A word of ours</textarea>" in answer.text


def test_without_a_lever_the_page_says_so(app, chained, inline_worker):
    """Round the clock on one press: no hour, hand or order more brings the last parcel forward."""
    where = asked(app, f"/plans/{chained}/levers", {"tier": ""})
    assert _answered(app, where.rpartition("=")[2])["result"]["levers"] == []
    assert "Nothing that was tried helps" in app.client.get(where).text


def test_what_knowing_is_worth_is_shown_with_its_noise(app, chained, inline_worker):
    """Asked by a button; each thing with what it would save, give or take, and without a rank where that is chance."""
    assert "Work it out" in app.client.get(f"/plans/{chained}/knowing").text
    where = asked(app, f"/plans/{chained}/knowing", {})
    told = _answered(app, where.rpartition("=")[2])["result"]["things"]
    text = app.client.get(where).text
    assert all(one["about"] in text for one in told)
    assert ("within chance" in text) == any(one["rank"] is None for one in told)


def test_levers_are_found_and_one_is_planned(app, inline_worker):
    """Each with its price; its button plans it as a variant of this plan."""
    plan_id = made(app, app.client.post("/v1/plans", json=BY_DAY).json()["id"])["id"]
    where = asked(app, f"/plans/{plan_id}/levers", {"tier": ""})
    study = _answered(app, where.rpartition("=")[2])
    text = app.client.get(where).text
    levers = study["result"]["levers"]
    assert levers
    assert all(lever["title"] in text for lever in levers)
    take = re.search(r'name="take" value="([^"]+)"', text)[1]
    answer = app.client.post(f"/plans/{plan_id}/levers", data={"take": take}, follow_redirects=False)
    assert answer.status_code == 303
    [child] = app.client.get(f"/v1/plans?parent={plan_id}").json()["plans"]
    assert any(child["title"].endswith(lever["title"]) for lever in levers)


def test_the_trade_off_is_asked_and_waited_for(app, chained):
    """Six plans on their way, then a line for each that nothing beats."""
    where = asked(app, f"/plans/{chained}/trade-off", {"seconds": "5"})
    assert "data-waits" in app.client.get(where).text
    for child in where.rpartition("=")[2].split(","):
        made(app, child)
    text = app.client.get(where).text
    assert "data-waits" not in text
    points = app.client.get(f"/v1{where.replace('trade-off', 'frontier')}").json()["points"]
    assert text.count('data-label="Late parcels"') == len(points)


def test_a_colourways_price_is_asked_and_waited_for(app):
    """Two plans on their way; what is wrong stands beside its field."""
    plan_id = publish(app.service, roomy_pots(), pot_plan())
    here = f"/plans/{plan_id}/colourway"
    way = html.unescape(re.search(r'<option value="(\[[^"]+\])"', app.client.get(here).text)[1])
    where = asked(app, here, {"do": "fewer", "gone": way, "orders": "move"})
    assert "Being planned" in app.client.get(where).text
    for data, field in (
        ({"do": "more", "name": "", "colours": "white"}, "name"),
        ({"do": "more", "name": "grey", "colours": "violet"}, "colours"),
        ({"do": "more", "name": "grey", "colours": "white", "share": "much"}, "share"),
    ):
        answer = app.client.post(here, data=data)
        assert answer.status_code == 422
        assert f'id="{field}-problem"' in answer.text
        assert all(f'value="{text}"' in answer.text for name, text in data.items() if text and name != "do")


def test_plans_stand_side_by_side(app, chained):
    """A line for each variant with the figures of the comparison; what is not made yet is named."""
    data = {"tool.a.days": "30"}
    answer = app.client.post(f"/plans/{chained}/what-if", data=data, follow_redirects=False)
    child = answer.headers["location"].rpartition("/")[2]
    here = f"/plans/{chained}/side-by-side"
    assert "Still being planned" in app.client.get(here).text
    made(app, child)
    text = app.client.get(here).text
    said = app.client.get(f"/v1/plans/{child}/comparison").json()
    assert f"+{said['tiers'][0]['days']} days" in text
    assert "a 30 days later" in text
    assert said["words"] in app.client.get(f"/plans/{child}/compared").text


def preliminary(service, study_id, promise):
    """The study says what its first replications say."""
    with service.database.write() as connection:
        said = [("preliminary", promise.model_copy(update={"groups": []}).model_dump(mode="json"))]
        events.extend(connection, "study", study_id, said, time.time(), 0)


def test_a_first_look_is_shown_where_it_is_said_to_be_one(app, plan_id):
    """The plan's page and the promises say how many replications and how far off; lists and paper wait for all."""
    study = simulate(app.service, plan_id, None)
    assert how_sure(app.service, app.service.local_workshop, plan_id, 1, first_look=True).tiers is None
    preliminary(app.service, study, make_promise(pot_campaign(), pot_plan(), 60))
    early = how_sure(app.service, app.service.local_workshop, plan_id, 1, first_look=True)
    assert (early.study, early.at_work, early.replications) == (study, True, 60)
    text = app.client.get(f"/plans/{plan_id}").text
    assert "60 simulations" in text
    assert "A first look, give or take" in text
    text = app.client.get(f"/plans/{plan_id}/promises").text
    assert "60 simulated campaigns" in text
    assert "A first look, give or take" in text
    assert how_sure(app.service, app.service.local_workshop, plan_id, 1).tiers is None
    preliminary(app.service, study, make_promise(pot_campaign(), pot_plan(), 80))  # by another worker, after a loss
    assert "80 simulations" in app.client.get(f"/plans/{plan_id}").text


@pytest.mark.parametrize(("share", "number"), [(0.5, 300), (0.2, 300), (0.0, 300), (1.0, 2000)])
def test_how_far_off_a_share_may_be(share, number):
    """Held against scipy's exact binomial interval (Clopper and Pearson): as wide, and never nothing."""
    exact = stats.binomtest(round(share * number), number).proportion_ci(0.95)
    width = (exact.high - exact.low) / 2
    assert 0.9 * width < two_errors(share, number) < 1.6 * width

"""Studies over HTTP: accepted, watched, resumed, waited for, stopped, cancelled, deleted, listed."""

import json
import re
import time
from datetime import date

import pytest

from api.languages import wording
from api.promises.question import PromiseQuestion
from api.services.standing_promise import sure_of
from planner.planning.make import make_plan
from planner.promise.document import Promise
from planner.studies.parts import Answer, Said
from planner.studies.promise import STANDING
from tests.api.inline_worker import InlineWorker
from tests.api.slips.test_what_if_api import CAMPAIGN, made
from tests.service.test_spine import read_events
from worker.records.tables import Workshop
from worker.solving.job import Hands
from worker.solving.plan import work_on_plan

JSON = {"Accept": "application/json"}
ASKED = {"slips": [2], "rounds": 0}


@pytest.fixture
def plan(app):
    return made(app, app.client.post("/v1/plans", json=CAMPAIGN).json()["id"])


def slow(work, control):
    """Says one thing for each part; the first one takes until somebody stops it."""
    if work.ask.get("name") == "a" and "days" in work.ask:
        while not control.should_stop():
            time.sleep(0.01)
    return Answer([Said("cell", work.ask)], {"done": len(work.given)})


def test_a_slip_table_is_accepted_watched_and_resumed(app, plan, inline_worker):
    """202 and a Location; events 1, 2, 3 ...; resumed after any; 204 after the last; the document in the end."""
    path = f"/v1/plans/{plan['id']}/slip-table"
    assert app.client.get(f"/v1/plans/{plan['id']}/pictures/slips.svg").status_code == 409
    accepted = app.client.post(path, json=ASKED, headers=JSON)
    assert accepted.status_code == 202, accepted.text
    here = accepted.headers["location"]
    story = read_events(app.client.get(f"{here}/events").text)
    assert [number for number, _, _ in story] == list(range(1, len(story) + 1))
    kinds = [kind for _, kind, _ in story]
    assert kinds[:2] == ["begun", "started"]
    assert kinds[-2:] == ["table", "done"]
    assert sorted(kinds[2:-2]) == ["cell"] * 4 + ["row"] * 2
    rest = app.client.get(f"{here}/events", headers={"Last-Event-ID": "3"})
    assert read_events(rest.text) == story[3:]
    assert app.client.get(f"{here}/events", headers={"Last-Event-ID": str(len(story))}).status_code == 204
    study = app.client.get(here).json()
    assert (study["status"], study["ended_because"], study["parts_done"]) == ("done", "complete", study["parts"])
    assert [next(iter(said)) for said in study["so_far"]] == kinds[2:-1]
    table = study["result"]
    assert table["document"] == "slip-table/1"
    assert all(cell["audited"] for row in table["rows"] for cell in row["cells"])
    picture = app.client.get(here, headers={"Accept": "image/svg+xml"})
    assert picture.headers["content-type"].startswith("image/svg+xml")
    german = app.client.get(f"{here}?language=de", headers={"Accept": "image/svg+xml"}).text
    assert german == app.client.get(f"/v1/plans/{plan['id']}/pictures/slips.svg?language=de").text != picture.text
    assert "a 2 days late, planned anew" in picture.text
    pictures = {
        one["name"]: one["href"] for one in app.client.get(f"/v1/plans/{plan['id']}/pictures").json()["pictures"]
    }
    assert app.client.get(pictures["slips"]).text == picture.text
    assert "a 2 days late, planned anew" in app.client.get(f"/plans/{plan['id']}/slips").text
    listed = app.client.get(f"/v1/plans/{plan['id']}/studies?kind=slip-table").json()
    assert [s["id"] for s in listed["studies"]] == [study["id"]]


def test_the_same_question_is_worked_out_once(app, plan, inline_worker):
    """Asked again, whichever way, it is the same study; another question is another one; deleted, it begins anew."""
    path = f"/v1/plans/{plan['id']}/slip-table"
    waited = app.client.post(path, json=ASKED, headers=JSON | {"Prefer": "wait=30"})
    assert waited.status_code == 200, waited.text
    assert waited.json()["status"] == "done"
    worked = len(inline_worker.worked_on)
    streamed = app.client.post(path, json={"rounds": 0, "slips": [2, 2]})
    assert streamed.headers["location"] == f"/v1/studies/{waited.json()['id']}"
    assert len([line for line in streamed.text.splitlines() if line.startswith('{"cell"')]) == 4
    assert len(inline_worker.worked_on) == worked
    other = app.client.post(path, json={"rounds": 0, "slips": [3]}, headers=JSON)
    assert other.json()["id"] != waited.json()["id"]
    assert app.client.delete(f"/v1/studies/{waited.json()['id']}").status_code == 204
    assert app.client.get(f"/v1/studies/{waited.json()['id']}").status_code == 404
    anew = app.client.post(path, json=ASKED, headers=JSON)
    assert anew.json()["id"] != waited.json()["id"]


def test_what_is_there_so_far_and_a_stop(app, plan):
    """While one part still thinks the others' cells can be read; a stop is heard and the rest put together."""
    inline_worker = InlineWorker(app.service, slow)
    accepted = app.client.post(f"/v1/plans/{plan['id']}/slip-table", json=ASKED, headers=JSON)
    here = accepted.headers["location"]
    assert app.client.get(here).json()["so_far"] == []
    inline_worker.start()
    until = time.monotonic() + 20
    while app.client.get(here).json()["status"] != "running" and time.monotonic() < until:
        time.sleep(0.02)
    assert app.client.get(here).json()["result"] is None
    assert app.client.post(f"{here}/stop").json()["stop_requested"] is True
    story = read_events(app.client.get(f"{here}/events").text)
    inline_worker.rest()
    assert story[-1][1:][0] == "done"
    assert story[-1][2]["because"] == "stopped"
    study = app.client.get(here).json()
    assert {"kind": "tool", "name": "a", "days": 2} in [said["cell"] for said in study["so_far"]]
    assert app.client.post(f"{here}/stop").status_code == 409
    assert app.client.post(f"{here}/cancel").status_code == 409


def test_waiting_parts_are_counted(app, plan):
    """Of a table of two tools and one slip the two cells wait; rows and table wait for others and do not count."""

    def waiting():
        return float(re.search(r"^study_parts_waiting (.*)$", app.client.get("/v1/metrics").text, re.MULTILINE)[1])

    before = waiting()
    app.client.post(f"/v1/plans/{plan['id']}/slip-table", json=ASKED, headers=JSON)
    assert waiting() == before + 2
    assert "study_parts_running 0.0" in app.client.get("/v1/metrics").text


def test_cancelled_before_anybody_began(app, plan):
    """And the stream of lines ends by saying so."""
    path = f"/v1/plans/{plan['id']}/levers"
    here = app.client.post(path, json={}, headers=JSON).headers["location"]
    assert app.client.post(f"{here}/cancel").json()["status"] == "cancelled"
    assert app.client.post(f"{here}/cancel").status_code == 202
    kinds = [kind for _, kind, _ in read_events(app.client.get(f"{here}/events").text)]
    assert kinds == ["begun", "cancelled"]


def test_a_fault_in_a_part_is_told(app, plan):
    """The lines end with `fault`, the study says why, what was said stays, and asking again begins anew."""

    def faulty(work, control):
        if work.ask.get("name") == "b":
            raise ZeroDivisionError("a fault in a part")
        return Answer([Said("cell", work.ask)])

    inline_worker = InlineWorker(app.service, faulty)
    inline_worker.start()
    got = app.client.post(f"/v1/plans/{plan['id']}/slip-table", json=ASKED)
    inline_worker.rest()
    assert json.loads(got.text.splitlines()[-1])["fault"]["detail"].startswith("the workers could not")
    study = app.client.get(got.headers["location"]).json()
    assert (study["status"], study["ended_because"]) == ("failed", "fault")
    again = app.client.post(f"/v1/plans/{plan['id']}/slip-table", json=ASKED, headers=JSON)
    assert again.json()["id"] != study["id"]


def test_a_promise_need_not_be_waited_for(app, plan):
    """`respond-async`: 202 at once, the study is the promise in the end; a failed one is no promise."""
    path = f"/v1/plans/{plan['id']}/promise"
    accepted = app.client.post(path, json={"floors": 100}, headers={"Prefer": "respond-async"})
    assert accepted.status_code == 202
    waited = app.client.post(path, json={"floors": 100}, headers={"Prefer": "wait=1"})
    assert waited.status_code == 202, "nobody works here yet"
    inline_worker = InlineWorker(app.service)
    inline_worker.start()
    answer = app.client.post(path, json={"floors": 100}, headers={"Prefer": "wait=30"})
    inline_worker.rest()
    assert answer.status_code == 200
    assert app.client.get(accepted.headers["location"]).json()["result"] == answer.json()


def test_every_plan_is_simulated_as_soon_as_it_is_made(app, plan):
    """Nobody has to ask: the standing question is the API's own when nothing is said, so asking it again is free; the
    plan's page waits for the answer, then has it; a full quota leaves it unasked and the plan made."""
    assert PromiseQuestion().model_dump() == STANDING
    [asked] = app.client.get(f"/v1/plans/{plan['id']}/studies").json()["studies"]
    assert (asked["kind"], asked["status"]) == ("promise", "queued")
    page = app.client.get(f"/plans/{plan['id']}").text
    assert f'data-study="{asked["id"]}"' in page
    inline_worker = InlineWorker(app.service)
    inline_worker.start()
    answer = app.client.post(f"/v1/plans/{plan['id']}/promise", json={}, headers={"Prefer": "wait=60"})
    inline_worker.rest()
    assert answer.headers["location"] == f"/v1/studies/{asked['id']}"
    page = app.client.get(f"/plans/{plan['id']}").text
    assert "data-study" not in page
    for tier in answer.json()["tiers"]:
        assert f'<strong class="nobreak">{wording.day(date.fromisoformat(tier["dates"]["p80"]))}</strong>' in page
    said = app.client.get(f"/v1/plans/{plan['id']}/pictures/floor.svg").text
    likely = wording.day(date.fromisoformat(answer.json()["tiers"][0]["dates"]["p80"]))
    assert f"80 % likely by {likely} (P80)" in said
    with app.service.database.write() as connection:
        connection.execute(Workshop.__table__.update().values(max_open_plans=1))
    one = app.client.post("/v1/plans", json=CAMPAIGN).json()["id"]
    with app.service.database.write() as connection:
        connection.execute(Workshop.__table__.update().values(max_open_plans=0))
    assert made(app, one)["status"] == "done"
    assert app.client.get(f"/v1/plans/{one}/studies").json()["studies"] == []


def test_another_workshops_study_is_like_no_study(guarded_app):
    """Same status, same words, whatever is asked of it."""
    app = guarded_app
    willow, alder = (app.key(name, "read", "plan") for name in ("willow", "alder"))
    plan = app.client.post("/v1/plans", json=CAMPAIGN, headers=willow).json()["id"]
    work_on_plan(Hands(app.service.database, app.service.settings, "here"), plan, make_plan)
    asked = app.client.post(f"/v1/plans/{plan}/levers", json={}, headers=willow | JSON)
    here, nowhere = asked.headers["location"], "/v1/studies/" + "0" * 26
    for method, tail in (("GET", ""), ("GET", "/events"), ("POST", "/stop"), ("POST", "/cancel"), ("DELETE", "")):
        theirs, nobodys = (app.client.request(method, path + tail, headers=alder) for path in (here, nowhere))
        assert theirs.status_code == nobodys.status_code == 404
        assert theirs.json()["detail"] == nobodys.json()["detail"]
    assert app.client.get(here, headers=willow).status_code == 200


def test_the_chance_picked_goes_with_the_plan(app, plan):
    """Every page, picture, sheet and file that speaks of a promise gives the day at the chance picked last, and says
    which it is."""
    inline_worker = InlineWorker(app.service)
    inline_worker.start()
    ask = f"/v1/plans/{plan['id']}/promise"
    app.client.post(ask, json={}, headers={"Prefer": "wait=60"})
    answer = app.client.post(ask, json={"confidence": 0.95}, headers={"Prefer": "wait=60"}).json()
    app.client.post(ask, json={"confidence": 0.6, "floors": 100}, headers={"Prefer": "wait=60"})  # a look at less
    inline_worker.rest()
    told = Promise.model_validate(answer)
    other = told.tiers[0].model_copy(update={"announce": date(2028, 1, 1)})
    assert sure_of(told.model_copy(update={"tiers": [other]}))[other.tier].by == date(2028, 1, 1)
    of = f"/plans/{plan['id']}"
    for where in (of, f"{of}/side-by-side"):
        page = app.client.get(where).text
        assert "95 % likely" in page
        assert "80 % likely" not in page
        for tier in answer["tiers"]:
            assert f'<strong class="nobreak">{wording.day(date.fromisoformat(tier["announce"]))}</strong>' in page
    assert '<option value="0.95" selected>' in app.client.get(f"{of}/update").text
    likely = wording.day(date.fromisoformat(answer["tiers"][0]["announce"]))
    assert f"95 % likely by {likely} (P95)" in app.client.get(f"/v1{of}/pictures/floor.svg").text
    assert "upright: 95 % likely (P95)" in app.client.get(f"/v1{of}/pictures/dispatches.svg").text

"""The thin line end to end on real processes: submit, queue, worker, records, read."""

import json

import pytest

from tests.planner_double import SMALL_CAMPAIGN, campaign_named

pytestmark = pytest.mark.service


def test_a_campaign_becomes_a_plan(live_service):
    """202 with a Location; then status done and the plan; then both lists."""
    accepted = live_service.post("/v1/plans", SMALL_CAMPAIGN)
    assert accepted.status_code == 202
    here = accepted.headers["location"]
    live_service.wait(lambda: live_service.get(here).json()["status"] == "done")
    answer = live_service.get(here).json()
    assert answer["plan"]["runs"][0]["tool"] == "cup"
    assert answer["plan_revision"] == answer["revision"] == 1
    runs = live_service.get(here, headers={"Accept": "text/csv"}).text.splitlines()
    assert runs[0].removeprefix("\ufeff").startswith("Run,Press,Tool")
    assert "'=nothing" in runs[1], "a text that looks like a formula must not stay one"
    packs = live_service.get(here + "?list=packs", headers={"Accept": "text/csv"}).text
    assert "1 cup sage" in packs


def test_prefer_wait_answers_with_the_plan(live_service):
    """Small plans need no second request."""
    answer = live_service.post("/v1/plans", SMALL_CAMPAIGN, Prefer="wait=20")
    assert answer.status_code == 200
    assert answer.json()["status"] == "done"
    assert answer.json()["plan"]["document"] == "run-plan/1"


def test_progress_then_stop_keeps_the_best(live_service):
    """Progress is visible while it works, and a stop ends it long before it would end itself."""
    here = live_service.post("/v1/plans", campaign_named("sleep 600")).headers["location"]
    live_service.wait(lambda: live_service.get(here).json()["progress"]["cost"] is not None)
    assert live_service.post(f"{here}/stop").status_code == 202
    live_service.wait(lambda: live_service.get(here).json()["status"] == "done")
    assert live_service.get(here).json()["ended_because"] == "stopped"


@pytest.mark.parametrize(
    ("name", "because"),
    [
        ("infeasible", "infeasible"),
        ("broken", "broken-rules"),
        ("stopped", "stopped"),
        ("fault", "fault"),
        ("memory", "too-large"),
    ],
)
def test_no_plan_is_an_answer_too(live_service, name, because):
    """Whatever the planner raises becomes a failed plan with its reason, never a plan."""
    answer = live_service.post("/v1/plans", campaign_named(name), Prefer="wait=20").json()
    assert (answer["status"], answer["ended_because"]) == ("failed", because)
    assert answer["problems"][0]["message"]
    assert answer["plan"] is None


def test_events_tell_the_story_without_gaps(live_service):
    """Numbers 1, 2, 3 ...; resumed after any of them, the rest follows; after the last: 204."""
    here = live_service.post("/v1/plans", campaign_named("sleep 2")).headers["location"]
    story = read_events(live_service.get(f"{here}/events").text)
    assert [number for number, _, _ in story] == list(range(1, len(story) + 1))
    kinds = [kind for _, kind, _ in story]
    assert kinds[:2] == ["queued", "started"]
    assert kinds[-1] == "done"
    assert "progress" in kinds
    rest = live_service.get(f"{here}/events", headers={"Last-Event-ID": "2"})
    assert read_events(rest.text) == story[2:]
    last = live_service.get(f"{here}/events", headers={"Last-Event-ID": str(len(story))})
    assert last.status_code == 204


def read_events(text: str) -> list[tuple[int, str, dict]]:
    found = []
    for block in text.split("\n\n"):
        lines = dict(line.split(": ", 1) for line in block.splitlines() if not line.startswith(":"))
        if "id" in lines:
            found.append((int(lines["id"]), lines["event"], json.loads(lines["data"])))
    return found

"""Variants and studies by real workers behind a real queue: fanned out, killed in the middle, watched by who leaves."""

import json
import threading

import httpx2
import pytest

from tests.api.slips.test_what_if_api import CAMPAIGN
from tests.service.test_spine import read_events

pytestmark = pytest.mark.service
JSON = "application/json"


@pytest.fixture
def live(make_live_service):
    """Two workers with the real planner."""
    made = make_live_service()
    made.real_planner = True
    made.start()
    made.start_worker("worker2")
    return made


def plan_on(live):
    here = live.post("/v1/plans", CAMPAIGN).headers["location"]
    live.wait(lambda: live.get(here).json()["status"] == "done", 60)
    return here


def events_until_gone(live, here, most):
    """Reads the stream and leaves in the middle, as a browser does when its page is closed; gives what it saw."""
    seen = []
    with live.client.stream("GET", f"{live.url}{here}/events") as stream:
        for line in stream.iter_lines():
            if line.startswith("id: "):
                seen.append(int(line[4:]))
                if len(seen) == most:
                    break
    return seen


def test_many_what_ifs_at_once(live):
    """Four variants in one request, a slip table beside them whose worker is killed; who leaves loses nothing."""
    plan = plan_on(live)
    changes = [
        {"title": f"a {n} days late", "patch": {"tools": {"a": {"ready": f"2027-01-{4 + n:02d}"}}}} for n in (2, 5, 9)
    ]
    changes.append({"title": "order turned round", "patch": {"presses": {"one": {"begins_with": [
        {"tool": "b", "colours": ["grey"]}]}}}})  # fmt: skip
    queued = live.post(f"{plan}/variants", {"variants": changes}).json()["plans"]
    accepted = live.post(f"{plan}/slip-table", {"rounds": 1}, Accept=JSON)
    study = accepted.headers["location"]

    gone = threading.Thread(target=leave_while_waiting, args=(live, f"{plan}/promise"))
    gone.start()
    assert events_until_gone(live, study, 3) == [1, 2, 3]
    live.kill("worker2")  # in the middle of whatever it has
    gone.join()

    for child in queued:
        live.wait(lambda child=child: live.get(f"/v1/plans/{child['id']}").json()["status"] == "done", 90)
    live.wait(lambda: live.get(study).json()["status"] == "done", 90)
    rest = read_events(live.get(f"{study}/events", headers={"Last-Event-ID": "3"}).text)
    assert [number for number, _, _ in rest] == list(range(4, 4 + len(rest)))
    answer = live.get(study).json()
    cells = [
        (c["kind"], c["name"], c["days"], c["policy"]) for c in (s["cell"] for s in answer["so_far"] if "cell" in s)
    ]
    assert len(cells) == len(set(cells)) == 16, "none lost, none twice"
    assert all(c["audited"] for row in answer["result"]["rows"] for c in row["cells"])

    seen = [live.get(f"/v1/plans/{child['id']}/comparison").json() for child in queued]
    # two days late: tool b goes first, and nobody waits longer; nine days late: no order helps
    days = [side["tiers"][0]["days"] for side in seen[:3]]
    assert days == sorted(days)
    assert days[2] > 0
    assert seen[0]["cost_before"] == seen[3]["cost_before"]
    moved = {(run["tool"], run["what"]) for run in seen[3]["runs"]}
    assert any(what == "another place in the order" for _, what in moved), moved
    # the promise was asked for by somebody who left; the answer is there for whoever asks next
    promised = live.get(f"{plan}/studies", params={"kind": "promise"}).json()["studies"]
    live.wait(lambda: live.get(f"/v1/studies/{promised[0]['id']}").json()["status"] == "done", 60)
    asked = live.post(f"{plan}/promise", {})
    assert asked.status_code == 200
    assert asked.headers["location"] == f"/v1/studies/{promised[0]['id']}"


def leave_while_waiting(live, path):
    """Asks and goes away before the answer."""
    with httpx2.Client(timeout=httpx2.Timeout(5, read=0.3), trust_env=False) as client:
        try:
            client.post(live.url + path, content=json.dumps({}), headers={"Content-Type": JSON})
        except httpx2.TimeoutException:
            return

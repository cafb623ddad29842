"""Variants and studies by real workers behind a real queue: fanned out, killed in the middle, watched by who leaves;
the purge log, a compound and the price of a colourway."""

import copy
import json
import threading

import httpx2
import pytest

from tests.api.purge.test_colourway_price import three_cups
from tests.api.slips.test_what_if_api import CAMPAIGN
from tests.live_service import forked_service
from tests.service.test_spine import read_events

pytestmark = pytest.mark.service
JSON = "application/json"


@pytest.fixture(scope="module")
def live(tmp_path_factory):
    """A worker with the real planner; a test that kills one starts another."""
    made = forked_service(tmp_path_factory.mktemp("real") / "service")
    made.real_planner = True
    made.start()
    yield made
    made.end()


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
    live.start_worker("worker2")
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


def test_log_compound_and_colourway_price_through_the_queue(live):
    """A log entry joins a plan when asked for, the plan cleans with compound, and one colourway fewer has its price."""
    cups = copy.deepcopy(three_cups())
    cups["planning"] = {"rounds": 2}
    cups["presses"]["p1"]["barrels"][0]["holds"] = "pp/ink"
    cups["resins"]["pp"] |= {"price_per_kg": 9}
    cups["purging"] = {"compound": {"price_per_kg": 1, "holdups": 0.5, "rinse_holdups": 0.5, "stock_kg": 20}}
    entry = {"press": "p1", "from": "pp/sage", "to": "pp/ink", "kg": 9, "confirmed": True}
    assert live.post("/v1/purge/log", entry).status_code == 201
    strange = {"press": "p9", "from": "pp/sage", "to": "pp/ink", "kg": 9}
    assert live.post("/v1/purge/log", strange).status_code == 201

    plain, learned = (
        live.post(address, cups, Prefer="wait=60").json() for address in ("/v1/plans", "/v1/plans?workshop_log=true")
    )
    assert plain["plan"]["purging"]["barrels"] == []
    said = learned["plan"]["purging"]
    assert [(one["press"], one["entries"]) for one in said["barrels"]] == [("p1", 1)]
    assert said["total_with_log"] == learned["plan"]["outcome"]["total"]
    assert said["total_unlogged"] is not None
    assert said["compound_use"]["kg"] > 0
    assert any(line["kind"] == "purging compound" for line in learned["plan"]["materials"])

    here = f"/v1/plans/{learned['id']}"
    asked = live.post(f"{here}/colourway-price", {"fewer": {"colourway": "ink"}, "rounds": 1})
    assert asked.status_code == 202
    result = asked.json()["result"]
    live.wait(lambda: live.get(result).status_code == 200, 60)
    price = live.get(result).json()
    assert price["purge_kg"]["difference"] == pytest.approx(
        price["purge_kg"]["changed"] - price["purge_kg"]["as_it_is"], abs=1e-5
    )
    assert price["changeovers"]["difference"] < 0
    assert price["total"]["as_it_is"] == pytest.approx(learned["plan"]["outcome"]["total"], rel=0.05)
    assert {line["colour"] for line in price["masterbatch"]} >= {"ink", "sage"}

"""Two workers as `./run serve` starts them: one for small plans only, one for large ones too; and a cap on memory."""

import pytest

from tests.live_service import forked_service
from tests.planner_double import campaign_named

pytestmark = pytest.mark.service
CAP = 900 * 2**20
BY_ROUNDS = {"planning": {"rounds": 1}}
"""Makes a campaign a large one: nobody knows how long it will take."""


@pytest.fixture(scope="module")
def live(tmp_path_factory):
    made = forked_service(tmp_path_factory.mktemp("sizes") / "service", memory_bytes_per_plan=CAP)
    made.start_broker()
    made.start_worker("worker1", "small")
    made.start_worker("worker2", "large,small")
    made.start_api()
    made.wait(lambda: made.get("/v1/ready").json()["workers"] == 2, 90)
    yield made
    made.end()


def state(live, here):
    return live.get(here).json()


def test_large_plans_never_starve_small_ones(live):
    """More large plans than workers, sent first: every small one is done while not one large one is."""
    large = [live.post("/v1/plans", campaign_named(f"sleep {600 + n}", **BY_ROUNDS)) for n in range(3)]
    assert {answer.json()["queue"] for answer in large} == {"large"}
    large = [answer.headers["location"] for answer in large]
    live.wait(lambda: "running" in {state(live, here)["status"] for here in large})
    small = [live.post("/v1/plans", campaign_named(f"quick {n}")) for n in range(6)]
    assert {answer.json()["queue"] for answer in small} == {"small"}
    for answer in small:
        live.wait(lambda here=answer.headers["location"]: state(live, here)["status"] == "done")
    assert sorted(state(live, here)["status"] for here in large) == ["queued", "queued", "running"]
    for here in large:
        assert live.post(f"{here}/cancel").status_code == 202


def test_a_plan_that_takes_too_much_memory_fails_alone(live):
    """It runs into the cap once, says so, and is not tried again; the same worker makes the next plan."""
    before = live.get("/v1/ready").json()["workers"]
    greedy = live.post("/v1/plans", campaign_named(f"devour {8 * CAP}", **BY_ROUNDS)).headers["location"]
    beside = live.post("/v1/plans", campaign_named("quick beside")).headers["location"]
    live.wait(lambda: state(live, greedy)["status"] == "failed", 60)
    answer = state(live, greedy)
    assert answer["ended_because"] == "too-large"
    assert "memory" in answer["problems"][0]["message"]
    assert answer["problems"][0]["remedy"]
    live.wait(lambda: state(live, beside)["status"] == "done")
    kinds = [line for line in live.get(f"{greedy}/events").text.splitlines() if line.startswith("event: ")]
    assert kinds == ["event: queued", "event: started", "event: failed"]
    after = live.post("/v1/plans", campaign_named("quick after", **BY_ROUNDS)).headers["location"]
    live.wait(lambda: state(live, after)["status"] == "done")
    assert live.get("/v1/ready").json()["workers"] == before
    assert "SIGKILL" not in (live.settings.data / "worker2.log").read_text()
    assert "WorkerLost" not in (live.settings.data / "worker2.log").read_text()

"""kill -9 of anything at any moment: nothing lost, nothing twice, every story whole."""

import json
import signal
import time

import pytest
import redis

from tests.chaos import run_chaos
from tests.live_service import forked_service
from tests.planner_double import campaign_named

pytestmark = [pytest.mark.service, pytest.mark.slow]


@pytest.fixture(scope="module")
def live(tmp_path_factory):
    """A service for tests after which it stands again as before. A plan is given up after two workers, not three."""
    made = forked_service(tmp_path_factory.mktemp("standing") / "service", attempts=2)
    made.start()
    yield made
    made.end()


def short(number):
    return campaign_named(f"sleep {0.1 + number % 5 / 10}", confidence=0.9 + number / 10_000)


@pytest.mark.parametrize("kind", ["sqlite", "postgresql"])
def test_nothing_is_lost_and_nothing_done_twice(make_live_service, kind, request):
    """Worker, queue, API and database connections are killed while clients submit."""
    url = "" if kind == "sqlite" else request.getfixturevalue("postgres_url")
    live = make_live_service(database_url=url)
    live.start()
    live.start_worker("worker2", "small")
    report = run_chaos(live, plans=12, clients=3, kills=4, seed=7, campaign=short)
    assert (report.promised, report.studies) == (12, 12)
    assert report.holds, report


def test_a_worker_killed_in_the_middle_is_replaced(live):
    """Killed whole while it plans: the next one starts again and publishes once."""
    here = live.post("/v1/plans", campaign_named("sleep 4")).headers["location"]
    live.wait(lambda: live.get(here).json()["status"] == "running")
    live.kill("worker1")
    live.start_worker()
    live.wait(lambda: live.get(here).json()["status"] == "done", 60)
    kinds = [line for line in live.get(f"{here}/events").text.splitlines() if line.startswith("event: ")]
    assert kinds.count("event: started") == kinds.count("event: started-again") == kinds.count("event: done") == 1


def test_a_poisonous_plan_is_given_up_and_others_live(live):
    """A campaign that kills every process that touches it fails as lost; the next plan is made all the same."""
    poison = live.post("/v1/plans", campaign_named("die")).headers["location"]
    good = live.post("/v1/plans", campaign_named("quick")).headers["location"]
    live.wait(lambda: live.get(good).json()["status"] == "done", 40)
    live.wait(lambda: live.get(poison).json()["status"] == "failed", 60)
    assert live.get(poison).json()["ended_because"] == "lost"


def test_a_planner_that_never_returns_is_ended(live):
    """Deaf to stop and deadline: the plan fails as overran, and the worker plans on."""
    planning = {"seconds": 0.5}
    deaf = live.post("/v1/plans", campaign_named("deaf", planning=planning)).headers["location"]
    live.wait(lambda: live.get(deaf).json()["status"] == "failed", 30)
    assert live.get(deaf).json()["ended_because"] == "overran"
    log = (live.settings.data / "worker1.log").read_text().splitlines()
    (said,) = (json.loads(line) for line in log if "ended by force" in line)
    assert said["plan"] == deaf.rpartition("/")[2]
    assert "planner_double.py" in said["stand"]
    assert live.post("/v1/plans", campaign_named("quick"), Prefer="wait=30").json()["status"] == "done"


def test_without_the_queue_reads_work_and_submissions_wait(live):
    """Readiness tells the truth, 202 is answered all the same, and the plan is made once the queue is back."""
    live.kill("broker")
    assert live.get("/v1/ready").status_code == 503
    assert live.get("/v1/ready").json()["queue"] is False
    accepted = live.post("/v1/plans", campaign_named("quick"))
    assert accepted.status_code == 202
    here = accepted.headers["location"]
    assert live.get(here).json()["status"] == "queued"
    live.start_broker()
    live.wait(lambda: live.get(here).json()["status"] == "done", 60)


def test_a_queue_that_takes_connections_and_says_nothing(live):
    """Its process hangs: nobody who asks waits for it, readiness says so, and all is planned once it goes on."""
    broker = live.processes["broker"]
    broker.send_signal(signal.SIGSTOP)
    try:
        begun = time.monotonic()
        accepted = [live.post("/v1/plans", campaign_named("quick", confidence=0.9 + n / 1000)) for n in range(3)]
        assert [one.status_code for one in accepted] == [202, 202, 202]
        told = live.get("/v1/ready")
        assert (told.status_code, told.json()["queue"], told.json()["writes"]) == (503, False, True)
        assert live.get("/v1/plans").status_code == 200
        assert time.monotonic() - begun < 20
    finally:
        broker.send_signal(signal.SIGCONT)
    for one in accepted:
        live.wait(lambda here=one.headers["location"]: live.get(here).json()["status"] == "done", 90)
    assert live.get("/v1/ready").status_code == 200
    kinds = [live.get(f"{one.headers['location']}/events").text.count("event: done") for one in accepted]
    assert kinds == [1, 1, 1]


def test_a_queue_that_takes_no_writes_is_waited_for(live):
    """As with a full disk: the worker goes on by itself when writes are taken again."""
    with redis.Redis.from_url(live.settings.redis_url) as server:
        server.config_set("min-replicas-to-write", 1)
        worker, log = live.processes["worker1"], live.settings.data / "worker1.log"
        live.wait(lambda: worker.poll() is not None or "NOREPLICAS" in log.read_text())
        here = live.post("/v1/plans", campaign_named("quick")).headers["location"]
        server.config_set("min-replicas-to-write", 0)
    live.wait(lambda: worker.poll() is not None or live.get(here).json()["status"] == "done")
    assert worker.poll() is None


def test_a_friendly_end_is_not_a_lost_worker(live):
    """SIGTERM to a worker gives its plan back at once; as many in a row as lost workers end a plan, and the next one
    brings it to its end."""
    here = live.post("/v1/plans", campaign_named("sleep 3", planning={"seconds": 600})).headers["location"]
    for _ in range(live.settings.attempts):
        live.wait(lambda: live.get(here).json()["status"] == "running", 90)
        live.kill("worker1", signal.SIGTERM)
        assert live.get(here).json()["status"] == "queued"
        live.start_worker()
    live.wait(lambda: live.get(here).json()["status"] == "done", 60)
    told = [line for line in live.get(f"{here}/events").text.splitlines() if line.startswith("event: ")]
    kinds = [line.removeprefix("event: ") for line in told if not line.endswith("progress")]
    assert kinds == ["queued", *["started", "handed-back"] * live.settings.attempts, "started", "done"]

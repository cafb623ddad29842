"""kill -9 of anything at any moment: nothing lost, nothing twice, every story whole."""

import signal

import pytest
import redis

from tests.chaos import run_chaos
from tests.live_service import new_floor
from tests.planner_double import campaign_named

pytestmark = [pytest.mark.service, pytest.mark.slow]


@pytest.fixture(scope="module")
def floor(tmp_path_factory):
    """A floor for tests after which it stands again as before."""
    made = new_floor(tmp_path_factory.mktemp("standing") / "floor")
    made.start()
    yield made
    made.end()


def short(number):
    return campaign_named(f"sleep {0.1 + number % 5 / 10}", confidence=0.9 + number / 10_000)


@pytest.mark.parametrize("kind", ["sqlite", "postgresql"])
def test_nothing_is_lost_and_nothing_done_twice(make_floor, kind, request):
    """Worker, queue, API and database connections are killed while clients submit."""
    url = "" if kind == "sqlite" else request.getfixturevalue("postgres_url")
    floor = make_floor(database_url=url)
    floor.start()
    floor.start_worker("worker2", "small")
    report = run_chaos(floor, plans=12, clients=3, kills=4, seed=7, campaign=short)
    assert report.promised == 12
    assert report.holds, report


def test_a_worker_killed_in_the_middle_is_replaced(make_floor):
    """Killed whole while it plans: the next one starts again and publishes once."""
    floor = make_floor()
    floor.start()
    here = floor.post("/v1/plans", campaign_named("sleep 4")).headers["location"]
    floor.wait(lambda: floor.get(here).json()["status"] == "running")
    floor.kill("worker1")
    floor.start_worker()
    floor.wait(lambda: floor.get(here).json()["status"] == "done", 60)
    kinds = [line for line in floor.get(f"{here}/events").text.splitlines() if line.startswith("event: ")]
    assert kinds.count("event: started") == kinds.count("event: started-again") == kinds.count("event: done") == 1


def test_a_poisonous_plan_is_given_up_and_others_live(make_floor):
    """A campaign that kills every process that touches it fails as lost; the next plan is made all the same."""
    floor = make_floor(lease=1.0, heartbeat=0.3)
    floor.start()
    poison = floor.post("/v1/plans", campaign_named("die")).headers["location"]
    good = floor.post("/v1/plans", campaign_named("quick")).headers["location"]
    floor.wait(lambda: floor.get(good).json()["status"] == "done", 40)
    floor.wait(lambda: floor.get(poison).json()["status"] == "failed", 60)
    assert floor.get(poison).json()["ended_because"] == "lost"


def test_a_planner_that_never_returns_is_ended(floor):
    """Deaf to stop and deadline: the plan fails as overran, and the worker plans on."""
    planning = {"seconds": 0.5}
    deaf = floor.post("/v1/plans", campaign_named("deaf", planning=planning)).headers["location"]
    floor.wait(lambda: floor.get(deaf).json()["status"] == "failed", 30)
    assert floor.get(deaf).json()["ended_because"] == "overran"
    assert floor.post("/v1/plans", campaign_named("quick"), Prefer="wait=30").json()["status"] == "done"


def test_without_the_queue_reads_work_and_submissions_wait(floor):
    """Readiness tells the truth, 202 is answered all the same, and the plan is made once the queue is back."""
    floor.kill("broker")
    assert floor.get("/v1/ready").status_code == 503
    assert floor.get("/v1/ready").json()["queue"] is False
    accepted = floor.post("/v1/plans", campaign_named("quick"))
    assert accepted.status_code == 202
    here = accepted.headers["location"]
    assert floor.get(here).json()["status"] == "queued"
    floor.start_broker()
    floor.wait(lambda: floor.get(here).json()["status"] == "done", 60)


def test_a_queue_that_takes_no_writes_is_waited_for(floor):
    """As with a full disk: the worker goes on by itself when writes are taken again."""
    with redis.Redis.from_url(floor.settings.redis_url) as server:
        server.config_set("min-replicas-to-write", 1)
        worker, log = floor.processes["worker1"], floor.settings.data / "worker1.log"
        floor.wait(lambda: worker.poll() is not None or "NOREPLICAS" in log.read_text())
        here = floor.post("/v1/plans", campaign_named("quick")).headers["location"]
        server.config_set("min-replicas-to-write", 0)
    floor.wait(lambda: worker.poll() is not None or floor.get(here).json()["status"] == "done")
    assert worker.poll() is None


def test_a_friendly_end_is_not_a_lost_worker(make_floor):
    """SIGTERM to a worker gives its plan back at once; three of them in a row, and the fourth brings it to its end."""
    floor = make_floor()
    floor.start()
    here = floor.post("/v1/plans", campaign_named("sleep 3", planning={"seconds": 600})).headers["location"]
    for n in range(1, 4):
        floor.wait(lambda: floor.get(here).json()["status"] == "running", 90)
        floor.kill(f"worker{n}", signal.SIGTERM)
        assert floor.get(here).json()["status"] == "queued"
        floor.start_worker(f"worker{n + 1}")
    floor.wait(lambda: floor.get(here).json()["status"] == "done", 60)
    told = [line for line in floor.get(f"{here}/events").text.splitlines() if line.startswith("event: ")]
    kinds = [line.removeprefix("event: ") for line in told if not line.endswith("progress")]
    assert kinds == ["queued", *["started", "handed-back"] * 3, "started", "done"]

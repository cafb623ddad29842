"""A time budget is time to work in: what a plan waits for a free core does not count, and is said."""

import json
import os
import subprocess
import sys
import threading
import time

import pytest

from tests.planner_double import SMALL_CAMPAIGN, plan_of
from worker.records import claiming, health, plan_claims, reading, submitting, workshops
from worker.records.claiming import Claimant
from worker.records.plan_claims import PLANS, Published
from worker.records.submitting import Submission
from worker.settings import Settings
from worker.solving.control import WatchedControl
from worker.solving.core_wait import CoreWait, waits
from worker.solving.job import Hands
from worker.solving.overrun import Overrun
from worker.solving.plan import work_on_plan

BURN = "import time; ends = time.monotonic() + 60\nwhile time.monotonic() < ends: pass"


class Waited(CoreWait):
    """So many seconds, and no more than that is known."""

    def __init__(self, seconds=0.0):
        super().__init__()
        self.said = seconds

    def seconds(self):
        return self.said


def test_what_is_waited_does_not_count():
    """Of 60 s budget with 20 s waited, 40 s gone leave 40 s, not 20."""
    now, wait = [100.0], Waited()
    control = WatchedControl(60.0, clock=lambda: now[0], core_wait=wait)
    now[0] += 40.0
    assert control.seconds_left() == 20.0
    wait.said = 20.0
    assert control.seconds_left() == 40.0
    assert not control.overran(0.0)


def test_a_budget_is_stretched_to_its_double_at_most():
    """Whoever waits for a plan waits twice as long at most; what a thread waited is remembered after its end."""
    now, wait = [0.0], Waited(500.0)
    control = WatchedControl(60.0, clock=lambda: now[0], core_wait=wait, overrun=Overrun(dict))
    assert control.seconds_left() == 120.0
    wait.said = 0.0
    assert control.waited() == 500.0
    now[0] = 121.0
    assert control.seconds_left() == 0.0
    assert control.overran(0.5)


@pytest.mark.skipif(not hasattr(os, "sched_setaffinity"), reason="only Linux counts it")
def test_a_thread_beside_others_on_one_core_waits():
    """Three busy processes on this very core."""
    before = os.sched_getaffinity(0)
    core = {min(before)}
    os.sched_setaffinity(0, core)
    others = [subprocess.Popen([sys.executable, "-c", BURN]) for _ in range(3)]  # they inherit the core
    try:
        wait = CoreWait()
        assert wait.seconds() == 0.0
        wait.begin()
        ends = time.monotonic() + 30.0
        while wait.seconds() < 0.2:
            assert time.monotonic() < ends
        assert waits()[threading.get_native_id()] >= 0.2
    finally:
        os.sched_setaffinity(0, before)
        for other in others:
            other.kill()
            other.wait()


def test_where_nobody_counts_it_is_none(monkeypatch, tmp_path):
    """Another system, or a thread that has ended."""
    wait = CoreWait()
    monkeypatch.setattr("worker.solving.core_wait.threading.get_native_id", lambda: 0)
    wait.begin()
    assert wait.seconds() == 0.0
    monkeypatch.setattr("worker.solving.core_wait.Path", lambda _: tmp_path / "none")
    assert waits() == {}


def test_nanoseconds_are_told_as_seconds(tmp_path, monkeypatch):
    """The second of three numbers, from where it stood when the thread began (kernel documentation, sched-stats)."""
    file = tmp_path / "schedstat"
    monkeypatch.setattr("worker.solving.core_wait.Path", lambda _: file)
    file.write_text("900000000000 1500000000 77\n")
    wait = CoreWait()
    wait.begin()
    assert wait.seconds() == 0.0
    file.write_text("950000000000 4000000000 99\n")
    assert wait.seconds() == pytest.approx(2.5)


def test_it_is_kept_with_the_plan_and_shown_in_readiness(database, tmp_path, monkeypatch):
    """From the control through the records."""
    workshop = workshops.ensure(database, "willow", 0.0)
    monkeypatch.setattr("worker.solving.control.CoreWait", lambda: Waited(7.0))
    with database.write() as connection:
        plan = submitting.submit(
            connection, workshop, Submission(json.dumps(SMALL_CAMPAIGN), "t", 5.0, "small"), time.time()
        ).id
        assert health.core_wait(connection, 0.0) is None
    here = Hands(database, Settings(data=tmp_path), "w")
    work_on_plan(here, plan, lambda campaign, control: plan_of(campaign, "proven"))
    with database.read() as connection:
        assert reading.revisions(connection, plan)[0].waited_seconds == 7.0


def test_readiness_says_the_share_of_late_plans(database):
    """Ten seconds of forty; what was made long ago counts no more."""
    workshop = workshops.ensure(database, "willow", 0.0)
    for made_at, seconds, waited in ((10.0, 100.0, 90.0), (1000.0, 30.0, 10.0), (1001.0, 10.0, 0.0)):
        with database.write() as connection:
            plan = submitting.submit(connection, workshop, Submission("{}", "t", 5.0, "small"), made_at).id
            mine = claiming.claim(connection, PLANS, plan, Claimant("w", 60.0, 3), made_at)
            result = Published("{}", 1.0, 1.0, 0.0, "proven", seconds, waited)
            assert plan_claims.publish(connection, mine, result, made_at)
    with database.read() as connection:
        assert health.core_wait(connection, 900.0) == pytest.approx(0.25)

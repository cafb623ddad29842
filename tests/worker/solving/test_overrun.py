"""When a job that goes on after its budget has had its grace, and what the log says of where it stood."""

import json
import logging
import threading

import pytest
from sqlalchemy.exc import OperationalError

from worker.leaving import STAYING
from worker.logs import JsonLines
from worker.records import claiming
from worker.records.claiming import Claim
from worker.records.leases import Fence
from worker.records.tables import Plan
from worker.settings import Settings
from worker.solving.control import WatchedControl
from worker.solving.job import Job
from worker.solving.listening import Overran, in_background, listen
from worker.solving.overrun import LONGEST_GRACE, Overrun, where_threads_stand
from worker.solving.plan import WORDING


def gone_through(looks, grace):
    """Whether it was too long at each look. looks: seconds past the budget, thread -> seconds waited so far."""
    waited = iter([said for _, said in looks])
    overrun = Overrun(lambda: next(waited))
    return [overrun.too_long(past, grace) for past, _ in looks], overrun


def test_on_a_free_machine_all_of_it_counts():
    """Not before the budget's end."""
    overrun = Overrun(lambda: {1: 500.0})
    assert not overrun.too_long(-1.0, 0.0)
    said, overrun = gone_through([(0.1, {1: 500.0}), (5.0, {1: 500.0}), (10.2, {1: 500.0})], 10.0)
    assert said == [False, False, True]
    assert str(overrun) == "10 s after its budget, 0 of them waiting for a core"


def test_what_any_thread_waits_for_a_core_does_not_count():
    """The planner's own, and one that works for it; threads that begin later count from their beginning."""
    looks = [
        (0.0001, {1: 3.0, 2: 50.0}),
        (20.0, {1: 19.0, 2: 50.0}),  # 4 s worked
        (40.0, {1: 19.0, 3: 15.0}),  # 5 more
        (41.0, {1: 29.0, 3: 45.0}),  # waited for longer than between two looks, many at once: none
        (43.0, {1: 29.0, 3: 45.0}),  # two more
    ]
    said, overrun = gone_through(looks, 10.5)
    assert said == [False, False, False, False, True]
    assert str(overrun) == "43 s after its budget, 32 of them waiting for a core"


def test_it_ends_at_last_however_busy_the_machine():
    """A job in an endless loop on a machine that gives it next to nothing."""
    looks = [(1.0, {1: 0.0})] + [(60.0 * n, {1: 60.0 * n}) for n in range(1, 12)]
    said, _ = gone_through(looks, 60.0)
    assert said.index(True) == 1 + LONGEST_GRACE


def test_where_nobody_counts_waiting_all_of_it_counts():
    """On another system than Linux."""
    said, _ = gone_through([(5.0, {}), (9.0, {}), (11.0, {})], 10.0)
    assert said == [False, False, True]


def endless(begun, rest):
    """A planner's last step that never ends."""
    begun.set()
    rest.wait(60)


def test_the_log_says_once_where_it_stood(database, tmp_path, monkeypatch, caplog):
    """In one line of JSON, though the records cannot be reached at first; by the name of its thread."""
    control, begun, rest, tries = WatchedControl(-1e6), threading.Event(), threading.Event(), []

    def give_up(connection, mine, because, problems, now):
        tries.append(because)
        if len(tries) == 1:
            raise OperationalError("", {}, Exception("away"))

    monkeypatch.setattr(claiming, "fail", give_up)
    monkeypatch.setattr(claiming, "standing", lambda connection, mine: (True, False))
    job = Job(
        Claim(Fence(Plan, "1", 1), "willow", "oak", None),
        control,
        WORDING,
        think=lambda: endless(begun, rest),
        keep=lambda connection, result, seconds: True,
        hand_back=lambda connection, result, seconds: True,
    )
    result = in_background(job.name, job.think)
    assert begun.wait(20)
    with caplog.at_level(logging.ERROR), pytest.raises(Overran):
        listen(database, Settings(data=tmp_path), job, result.done, STAYING)
    assert tries == ["overran", "overran"]
    (record,) = [one for one in caplog.records if "ended by force" in one.getMessage()]
    line = json.loads(JsonLines().format(record))
    assert (line["plan"], line["level"]) == ("willow", "error")
    assert "s after its budget" in line["message"]
    own = line["stand"].partition(f"{job.name}:\n")[2]
    assert "in endless" in own
    rest.set()
    assert result.done.wait(20)


def test_threads_that_work_for_it_are_told_of_too():
    """The main one, which listens, is not."""
    begun, rest = threading.Event(), threading.Event()
    beside = threading.Thread(target=endless, args=(begun, rest), name="beside")
    beside.start()
    assert begun.wait(20)
    told = where_threads_stand()
    rest.set()
    beside.join()
    assert "beside:\n" in told
    assert "rest.wait(60)" in told
    assert "MainThread" not in told

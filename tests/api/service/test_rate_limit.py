"""The quota of requests is one, however many processes answer; while Redis is away each keeps its own."""

import multiprocessing
import time

import pytest

from api.service.rate_limit import LEAVE_ALONE, WorkshopLimit
from worker.queue.server import address_in, free_port, start


@pytest.fixture
def broker(tmp_path):
    address = address_in(tmp_path)
    process = start(tmp_path, address)
    yield address.url, process
    process.kill()
    process.wait()


def test_no_sixty_seconds_have_more_than_the_quota(broker, monkeypatch):
    """Three a minute, sent at 0, 20 and 40 s: the fourth waits until the first is a minute old, then one at a time."""
    url, _ = broker
    limit, now = WorkshopLimit(url), time.time()
    monkeypatch.setattr(time, "time", lambda: now)
    for _ in range(3):
        assert limit.wait("w", 3) == 0
        now += 20
    now -= 1.5
    assert limit.wait("w", 3) == 2, "the first is 58.5 s old; whole seconds, and not too few"
    now += 2
    assert [limit.wait("w", 3) for _ in range(2)] == [0, 20]
    assert limit.wait("another", 3) == 0


def test_without_redis_a_wait_is_rounded_up_too(monkeypatch):
    """Of two a minute the third is told to come back when the minute is over, never sooner."""
    now = 5000.0
    monkeypatch.setattr(time, "time", lambda: now)
    limit = WorkshopLimit(f"redis://127.0.0.1:{free_port()}/0")
    assert [limit.wait("w", 2) for _ in range(3)] == [0, 0, 60]
    now = 5058.6
    assert limit.wait("w", 2) == 2
    now = 5060.6
    assert limit.wait("w", 2) == 0


def _send(url, answers, start_together):
    limit = WorkshopLimit(url)
    start_together.wait(300)
    begun = time.time()
    answers.put((begun, [limit.wait("w", 20) for _ in range(20)], time.time()))


def test_two_processes_share_one_quota(broker):
    """Twenty a minute, twenty tries each: twenty get through, not forty."""
    url, _ = broker
    context = multiprocessing.get_context("spawn")
    answers, together = context.Queue(), context.Barrier(2)
    processes = [context.Process(target=_send, args=(url, answers, together)) for _ in range(2)]
    for process in processes:
        process.start()
    told = [answers.get(timeout=300) for _ in processes]
    for process in processes:
        process.join()
    waits = [wait for _, each, _ in told for wait in each]
    took = max(ended for _, _, ended in told) - min(begun for begun, _, _ in told)
    assert waits.count(0) == 20 or took > 55
    assert all(1 <= wait <= 60 for wait in waits if wait)
    assert WorkshopLimit(url).wait("another", 20) == 0


def test_while_redis_is_away_each_process_counts_alone(broker, tmp_path):
    """Refused there, counted here; and there again once it is back and a while has gone by."""
    url, process = broker
    now = 0.0
    first, second = (WorkshopLimit(url, lambda: now) for _ in range(2))
    assert [first.wait("w", 3) for _ in range(4)][-1] > 0
    process.kill()
    process.wait()
    for limit in (first, second):
        assert [limit.wait("w", 3) == 0 for _ in range(4)] == [True] * 3 + [False]
    now = LEAVE_ALONE / 2
    assert first.wait("w", 3) > 0, "not asked again so soon"
    back = start(tmp_path, address_in(tmp_path))
    try:
        now = 2 * LEAVE_ALONE
        waits = [limit.wait("another", 3) for _ in range(4) for limit in (first, second)]
    finally:
        back.kill()
        back.wait()
    assert waits.count(0) == 3, "one bucket for both again"


def test_a_server_that_never_was_costs_one_try():
    """An address nobody listens at: the first request finds out, the others do not ask."""
    limit = WorkshopLimit(f"redis://127.0.0.1:{free_port()}/0", lambda: 0.0)
    assert [limit.wait("w", 2) == 0 for _ in range(3)] == [True, True, False]

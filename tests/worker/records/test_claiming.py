"""Leases, attempts and fences: whatever order things happen in, one result is written once."""

import json
import threading

import pytest
from sqlalchemy import func, select

from worker.records import changing, claiming, ending, events, leases, outbox, reading, workshops
from worker.records.claiming import Published
from worker.records.submitting import Submission, TooManyOpenPlans, submit
from worker.records.tables import Revision, Workshop

RESULT = Published('{"a": 1}', cost=10.0, bound=9.0, gap=0.1, ended_because="proven", solve_seconds=1.0)
LEASE, ATTEMPTS = 10.0, 3


@pytest.fixture
def workshop(database):
    return workshops.ensure(database, "willow", 0.0)


@pytest.fixture
def plan(database, workshop):
    with database.write() as connection:
        return submit(connection, workshop, Submission("{}", "t", 5.0, "small"), 100.0).id


def claim(database, plan, now, cores=1):
    with database.write() as connection:
        return claiming.claim(connection, plan, "w", now, LEASE, ATTEMPTS, cores)


def publish(database, mine, now):
    with database.write() as connection:
        return claiming.publish(connection, mine, RESULT, now)


def find(database, workshop, plan):
    with database.read() as connection:
        return reading.find(connection, workshop, plan)


def test_only_one_of_many_claims_succeeds(database, plan):
    """Eight workers got the same message."""
    got = []
    threads = [threading.Thread(target=lambda: got.append(claim(database, plan, 101.0))) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(got) == 8
    assert sum(mine is not None for mine in got) == 1


def test_a_renewed_lease_holds_and_a_silent_one_does_not(database, plan):
    """The next worker gets the plan only once the lease ran out."""
    mine = claim(database, plan, 100.0)
    with database.write() as connection:
        assert leases.renew(connection, mine.fence, 108.0, LEASE)
    assert claim(database, plan, 117.9) is None
    assert claim(database, plan, 118.1).attempt == 2


def test_the_late_worker_publishes_nothing(database, workshop, plan):
    """Thought dead, back again: its fence is gone, its result and its progress are dropped."""
    late = claim(database, plan, 100.0)
    second = claim(database, plan, 111.0)
    assert publish(database, late, 112.0) is False
    with database.write() as connection:
        assert claiming.note_progress(connection, late, {"share": 0.5}, 112.0) is False
        assert claiming.fail(connection, late, "fault", [], 112.0) is False
        assert claiming.standing(connection, late) == (False, False)
    assert publish(database, second, 113.0) is True
    assert publish(database, second, 114.0) is False
    with database.read() as connection:
        assert connection.execute(select(func.count()).select_from(Revision)).scalar_one() == 1
    assert find(database, workshop, plan).status == "done"


def test_a_plan_that_kills_workers_fails_as_lost(database, workshop, plan):
    """After three lost workers a fourth is not risked."""
    now = 100.0
    for _ in range(ATTEMPTS):
        assert claim(database, plan, now) is not None
        now += LEASE + 1
    assert claim(database, plan, now) is None
    row = find(database, workshop, plan)
    assert (row.status, row.ended_because) == ("failed", "lost")
    assert row.problems[0]["remedy"]


def test_cancel_beats_a_worker(database, workshop, plan):
    """Cancelled while it was planned: the result is not published."""
    mine = claim(database, plan, 100.0)
    with database.write() as connection:
        changing.cancel(connection, plan, 101.0)
        changing.cancel(connection, plan, 101.0)
    assert publish(database, mine, 102.0) is False
    assert find(database, workshop, plan).status == "cancelled"
    with database.write() as connection, pytest.raises(ending.AlreadyFinished):
        changing.request_stop(connection, plan, 103.0)


def test_deleted_under_a_worker(database, workshop, plan):
    """Nothing of the plan comes back."""
    mine = claim(database, plan, 100.0)
    with database.write() as connection:
        changing.remove(connection, plan)
    assert publish(database, mine, 102.0) is False
    assert find(database, workshop, plan) is None
    assert claim(database, plan, 200.0) is None


def test_revisions_are_kept(database, workshop, plan):
    """Planning anew adds a revision; an older worker cannot write into it."""
    first = claim(database, plan, 100.0)
    assert publish(database, first, 101.0)
    with database.write() as connection:
        assert changing.plan_anew(connection, workshop, plan, '{"b": 1}', 5.0, "large", 102.0) == 2
    with database.write() as connection, pytest.raises(changing.StillOpen):
        changing.plan_anew(connection, workshop, plan, "{}", 5.0, "large", 102.0)
    assert publish(database, first, 103.0) is False
    second = claim(database, plan, 104.0)
    assert second.revision == 2
    assert second.document == '{"b": 1}'
    assert publish(database, second, 105.0)
    with database.read() as connection:
        assert [row.number for row in reading.revisions(connection, plan)] == [1, 2]
        kinds = [(event.number, event.kind) for event in events.after(connection, "plan", plan, 0)]
    assert kinds == list(enumerate(["queued", "started", "done", "queued", "started", "done"], 1))


def test_events_of_many_writers_have_no_gap(database, plan):
    """Twenty threads append at once; the numbers are 1 ... n all the same."""

    def tell(number):
        with database.write() as connection:
            events.append(connection, "plan", plan, "progress", {"n": number}, 1.0)

    threads = [threading.Thread(target=tell, args=(n,)) for n in range(20)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with database.read() as connection:
        told = events.after(connection, "plan", plan, 0)
    assert [event.number for event in told] == list(range(1, 22))
    assert sorted(json.loads(event.data)["n"] for event in told[1:]) == list(range(20))


def test_the_outbox_finds_what_the_queue_lost(database, plan):
    """Never sent; sent but gone from an empty queue; left by a lost worker; and nothing else."""
    small = frozenset({"small"})

    def due(now, empty=small):
        with database.read() as connection:
            return [item.id for item in [*outbox.fresh(connection, now), *outbox.lost(connection, now, 5.0, empty)]]

    item = outbox.Due(plan, "small")
    assert due(100.0) == [plan]
    with database.write() as connection:
        assert outbox.take(connection, [item], 100.0, 5.0)
        assert not outbox.take(connection, [item], 100.0, 5.0), "two senders, one message"
        unknown = outbox.Due("nobody", "small")
        assert outbox.take(connection, [unknown, item], 106.0, 5.0) == [item], "all of a kind in one step"
        outbox.give_back(connection, item)
        assert outbox.take(connection, [item], 100.0, 5.0) == [item]
    assert due(104.0) == []
    assert due(106.0) == [plan]
    assert due(106.0, frozenset()) == [], "it may still wait in a queue that is not empty"
    assert due(106.0 + outbox.LONGEST_SILENCE, frozenset()) == [plan]
    mine = claim(database, plan, 106.0)
    assert due(115.0) == []
    assert due(117.0) == [plan], "the lease ran out"
    assert publish(database, mine, 118.0)
    assert due(10_000.0) == []


def test_one_workshop_cannot_take_all_cores(database, workshop):
    """Its plans take max_cores, the next one waits until there is room for all of its own; another's does not."""
    other = workshops.ensure(database, "alder", 0.0)
    with database.write() as connection:
        connection.execute(Workshop.__table__.update().values(max_cores=5))
        mine = [submit(connection, workshop, Submission("{}", "t", 5.0, "small"), 1.0).id for _ in range(4)]
        theirs = submit(connection, other, Submission("{}", "t", 5.0, "small"), 1.0).id
    first, second = claim(database, mine[0], 100.0, cores=2), claim(database, mine[1], 100.0, cores=2)
    assert first
    assert second
    assert claim(database, mine[2], 100.0, cores=2) is None
    assert claim(database, mine[3], 100.0, cores=1) is not None, "one core is left"
    assert claim(database, theirs, 100.0, cores=2) is not None
    assert publish(database, first, 101.0)
    assert claim(database, mine[2], 101.0, cores=2) is not None


def test_a_plan_wider_than_the_quota_runs_alone(database, workshop):
    """Otherwise it would wait for ever."""
    with database.write() as connection:
        connection.execute(Workshop.__table__.update().values(max_cores=1))
        plans = [submit(connection, workshop, Submission("{}", "t", 5.0, "small"), 1.0).id for _ in range(2)]
    assert claim(database, plans[0], 100.0, cores=4) is not None
    assert claim(database, plans[1], 100.0, cores=4) is None


def test_two_claims_at_once_count_each_other(database, workshop):
    """Eight workers, room for three."""
    with database.write() as connection:
        connection.execute(Workshop.__table__.update().values(max_cores=3))
        plans = [submit(connection, workshop, Submission("{}", "t", 5.0, "small"), 1.0).id for _ in range(8)]
    held = []
    threads = [threading.Thread(target=lambda p=p: held.append(claim(database, p, 100.0))) for p in plans]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sum(mine is not None for mine in held) == 3
    assert len(held) == 8


def test_open_plans_have_a_quota(database, workshop):
    """The one too many is refused, not recorded."""
    with database.write() as connection:
        connection.execute(Workshop.__table__.update().values(max_open_plans=2))
        for _ in range(2):
            submit(connection, workshop, Submission("{}", "t", 5.0, "small"), 1.0)
        with pytest.raises(TooManyOpenPlans):
            submit(connection, workshop, Submission("{}", "t", 5.0, "small"), 1.0)


def test_pages_show_each_plan_once(database, workshop):
    """Also plans of the very same moment, and never another workshop's."""
    other = workshops.ensure(database, "alder", 0.0)
    with database.write() as connection:
        mine = {submit(connection, workshop, Submission("{}", "t", 5.0, "small"), n // 3).id for n in range(10)}
        submit(connection, other, Submission("{}", "t", 5.0, "small"), 1.0)
    seen, before = [], None
    with database.read() as connection:
        while page := reading.page(connection, workshop, 3, before):
            seen += [row.id for row in page]
            before = (page[-1].created_at, page[-1].id)
    assert len(seen) == len(set(seen)) == 10
    assert set(seen) == mine


def test_bytes_are_counted_and_given_back(database, workshop, plan):
    """Stored documents add up; deleting the plan gives all of it back."""

    def stored():
        with database.read() as connection:
            return connection.execute(select(Workshop.stored_bytes)).scalar_one()

    assert stored() == len("{}")
    assert publish(database, claim(database, plan, 100.0), 101.0)
    assert stored() == len("{}") + len(RESULT.document)
    with database.write() as connection:
        other = submit(connection, workshop, Submission("{}", "t", 5.0, "small"), 102.0).id
        changing.remove(connection, plan)
    assert stored() == len("{}"), "the other plan still uses the campaign"
    with database.write() as connection:
        changing.remove(connection, other)
        changing.remove(connection, other)
    assert stored() == 0

"""Plans as jobs: revisions, cores, quotas, pages, bytes; what every job has is tested in `test_claiming`."""

import threading

import pytest
from sqlalchemy import select

from worker.records import changing, claiming, ending, events, plan_claims, reading, workshops
from worker.records.claiming import Claimant
from worker.records.plan_claims import PLANS, Published
from worker.records.submitting import Submission, TooManyOpenPlans, submit
from worker.records.tables import Workshop

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
        return claiming.claim(connection, PLANS, plan, Claimant("w", LEASE, ATTEMPTS, cores), now)


def publish(database, mine, now):
    with database.write() as connection:
        return plan_claims.publish(connection, mine, RESULT, now)


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


@pytest.mark.parametrize("how", ["published", "cancelled", "failed"])
def test_however_a_plan_ends_it_is_the_next_edition(database, workshop, plan, how):
    """Once, by one: whoever saw it under way and changes it by what they saw is told."""
    mine = claim(database, plan, 100.0)
    with database.read() as connection:
        before = reading.find(connection, workshop, plan)
    if how == "published":
        assert publish(database, mine, 101.0)
    else:
        with database.write() as connection:
            if how == "cancelled":
                ending.cancel(connection, "plan", plan, 101.0)
            else:
                ending.fail(connection, "plan", plan, "fault", [], 101.0)
    with database.read() as connection:
        after = reading.find(connection, workshop, plan)
    assert after.edition == before.edition + 1


def test_another_name_is_another_edition(database, workshop, plan):
    """One that was never there before: whoever saw the plan under its old name is told."""
    with database.write() as connection:
        before = reading.find(connection, workshop, plan)
        changing.retitle(connection, plan, "other")
        after = reading.find(connection, workshop, plan)
    assert (after.title, after.edition) == ("other", before.edition + 1)

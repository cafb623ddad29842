"""Leases, attempts, fences, of plans and of studies alike: in whatever order things happen, one result is written."""

import json
import threading
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import pytest
from sqlalchemy import func, select

from planner.studies.parts import Said, Split, Subquestion
from worker.records import (
    changing,
    claiming,
    ending,
    events,
    leases,
    outbox,
    part_claims,
    plan_claims,
    reading,
    studies,
    workshops,
)
from worker.records.claiming import Claimant
from worker.records.part_claims import PARTS
from worker.records.plan_claims import PLANS, Published
from worker.records.studies import Question
from worker.records.submitting import Submission, submit
from worker.records.tables import Plan, Revision, Study, StudyPart

RESULT = Published('{"a": 1}', cost=10.0, bound=9.0, gap=0.1, ended_because="proven", solve_seconds=1.0)
LEASE, ATTEMPTS = 10.0, 3


@dataclass
class AJob:
    """A job that waits, and what differs between its kinds.

    row: what a worker asks for. first: its first event. finish: write the result, as whoever has claimed it does.
    results: how many were written. remove: the job, with all it has.
    """

    kind: Any
    job: str
    row: str
    first: str
    find: Callable[[Any], Any]
    finish: Callable[[Any, Any, float], bool]
    results: Any
    remove: Callable[[Any], None]


@pytest.fixture
def workshop(database):
    return workshops.ensure(database, "willow", 0.0)


@pytest.fixture
def plan(database, workshop):
    with database.write() as connection:
        return submit(connection, workshop, Submission("{}", "t", 5.0, "small"), 100.0).id


def a_plan(database, workshop, plan):
    return AJob(
        PLANS,
        plan,
        plan,
        "queued",
        find=lambda connection: reading.find(connection, workshop, plan),
        finish=lambda connection, mine, now: plan_claims.publish(connection, mine, RESULT, now),
        results=select(func.count()).select_from(Revision),
        remove=lambda connection: changing.remove(connection, plan),
    )


def a_study(database, workshop, plan):
    """Of a single part, about the plan, which is made before."""
    with database.write() as connection:
        mine = claiming.claim(connection, PLANS, plan, Claimant("w", LEASE, ATTEMPTS), 99.0)
        assert plan_claims.publish(connection, mine, RESULT, 99.0)
        asked = Question(plan, 1, "slip-table", {}, "small")
        study = studies.submit(connection, workshop, asked, Split({}, [Subquestion({}, None)]), 100.0)
        part = connection.execute(select(StudyPart.id)).scalar_one()
    return AJob(
        PARTS,
        study,
        part,
        "begun",
        find=lambda connection: studies.find(connection, workshop, study),
        finish=lambda connection, mine, now: part_claims.keep(connection, mine, [Said("cell", 1)], "{}", now),
        results=select(func.count()).select_from(Study).where(Study.result.is_not(None)),
        remove=lambda connection: studies.remove(connection, study),
    )


@pytest.fixture(params=[a_plan, a_study])
def job(request, database, workshop, plan):
    return request.param(database, workshop, plan)


def claim(database, job, now):
    with database.write() as connection:
        return claiming.claim(connection, job.kind, job.row, Claimant("w", LEASE, ATTEMPTS), now)


def finish(database, job, mine, now):
    with database.write() as connection:
        return job.finish(connection, mine, now)


def find(database, job):
    with database.read() as connection:
        return job.find(connection)


def story(database, job):
    with database.read() as connection:
        return events.after(connection, job.kind.name, job.job, 0)


def test_a_claim_says_what_it_is_of(database, workshop, job):
    """The job, its workshop, the first attempt."""
    mine = claim(database, job, 101.0)
    assert (mine.job, mine.job_id, mine.workshop_id) == (job.kind.name, job.job, workshop)
    assert (mine.fence.row_id, mine.fence.attempt) == (job.row, 1)
    assert find(database, job).started_at == 101.0


def test_only_one_of_many_claims_succeeds(database, job):
    """Eight workers got the same message."""
    got = []
    threads = [threading.Thread(target=lambda: got.append(claim(database, job, 101.0))) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(got) == 8
    assert sum(mine is not None for mine in got) == 1


def test_a_renewed_lease_holds_and_a_silent_one_does_not(database, job):
    """The next worker gets it only once the lease ran out, not in its very last moment."""
    mine = claim(database, job, 100.0)
    with database.write() as connection:
        assert leases.renew(connection, mine.fence, 108.0, LEASE)
    assert claim(database, job, 117.9) is None
    assert claim(database, job, 118.0) is None
    assert claim(database, job, 118.1).fence.attempt == 2


def test_the_late_worker_writes_nothing(database, job):
    """Thought dead, back again: its fence is gone, its result is dropped, and it can neither fail nor give back."""
    late = claim(database, job, 100.0)
    second = claim(database, job, 111.0)
    assert finish(database, job, late, 112.0) is False
    with database.write() as connection:
        assert claiming.fail(connection, late, "fault", [], 112.0) is False
        assert claiming.hand_back(connection, late) is False
        assert leases.renew(connection, late.fence, 112.0, LEASE) is False
        assert claiming.standing(connection, late) == (False, False)
        assert claiming.standing(connection, second) == (True, False)
    assert finish(database, job, second, 113.0) is True
    assert finish(database, job, second, 114.0) is False
    with database.read() as connection:
        assert connection.execute(job.results).scalar_one() == 1
    assert find(database, job).status == "done"
    assert [event.kind for event in story(database, job)][-1] == "done"


def test_a_late_workers_progress_is_dropped(database, workshop, plan):
    """Of a plan, which is the only one that tells how far it is."""
    job = a_plan(database, workshop, plan)
    late, second = claim(database, job, 100.0), claim(database, job, 111.0)
    with database.write() as connection:
        assert plan_claims.note_progress(connection, late, {"share": 0.5}, 112.0) is False
        assert plan_claims.note_progress(connection, second, {"share": 0.25}, 112.0) is True
    assert find(database, job).share == 0.25


def test_what_kills_workers_fails_as_lost(database, job):
    """After three lost workers a fourth is not risked."""
    now = 100.0
    for _ in range(ATTEMPTS):
        assert claim(database, job, now) is not None
        now += LEASE + 1
    assert claim(database, job, now) is None
    row = find(database, job)
    assert (row.status, row.ended_because) == ("failed", "lost")
    last = story(database, job)[-1]
    assert last.kind == "failed"
    [problem] = json.loads(last.data)["problems"]
    assert problem["message"].startswith("3 workers were lost")
    assert problem["remedy"]


def test_a_failure_says_why(database, job):
    """In the row and in the last event, and nobody takes it up again."""
    mine = claim(database, job, 100.0)
    problem = {"pointer": "", "message": "it is", "remedy": "do"}
    with database.write() as connection:
        assert claiming.fail(connection, mine, "infeasible", [problem], 101.0)
    row = find(database, job)
    assert (row.status, row.ended_because, row.finished_at) == ("failed", "infeasible", 101.0)
    assert json.loads(story(database, job)[-1].data) == {"because": "infeasible", "problems": [problem]}
    assert claim(database, job, 500.0) is None


def test_handed_back_it_waits_again_and_no_loss_is_counted(database, job):
    """Any number of times; the next worker has it at once."""
    for attempt in range(1, ATTEMPTS + 3):
        mine = claim(database, job, 100.0)
        assert mine.fence.attempt == attempt
        with database.write() as connection:
            assert claiming.hand_back(connection, mine)
        with database.read() as connection:
            assert [item.id for item in outbox.fresh(connection, 100.0)] == [job.row]
    assert finish(database, job, claim(database, job, 100.0), 101.0)


def test_a_stop_is_heard_by_whoever_works_on_it(database, job):
    """Asking twice is asking once; what is there is kept; afterwards it is too late."""
    mine = claim(database, job, 100.0)
    with database.write() as connection:
        ending.request_stop(connection, job.kind.name, job.job, 101.0)
        ending.request_stop(connection, job.kind.name, job.job, 101.0)
        assert claiming.standing(connection, mine) == (True, True)
    assert finish(database, job, mine, 102.0)
    assert [event.kind for event in story(database, job)].count("stop-requested") == 1
    with database.write() as connection, pytest.raises(ending.AlreadyFinished):
        ending.request_stop(connection, job.kind.name, job.job, 103.0)
    with database.write() as connection, pytest.raises(ending.AlreadyFinished):
        ending.cancel(connection, job.kind.name, job.job, 103.0)


def test_cancel_beats_a_worker(database, job):
    """Cancelled while it was worked on: the result is dropped; cancelling twice is cancelling once."""
    mine = claim(database, job, 100.0)
    with database.write() as connection:
        ending.cancel(connection, job.kind.name, job.job, 101.0)
        ending.cancel(connection, job.kind.name, job.job, 101.0)
        assert claiming.standing(connection, mine) == (False, False)
    assert finish(database, job, mine, 102.0) is False
    assert find(database, job).status == "cancelled"
    assert [event.kind for event in story(database, job)].count("cancelled") == 1
    assert claim(database, job, 500.0) is None
    with database.write() as connection, pytest.raises(ending.AlreadyFinished):
        ending.request_stop(connection, job.kind.name, job.job, 103.0)


def test_deleted_under_a_worker(database, job):
    """Nothing of it comes back."""
    mine = claim(database, job, 100.0)
    with database.write() as connection:
        job.remove(connection)
    assert finish(database, job, mine, 102.0) is False
    assert find(database, job) is None
    assert claim(database, job, 200.0) is None


def test_events_of_many_writers_have_no_gap(database, job):
    """Twenty threads append at once; the numbers are 1 ... n all the same."""

    def tell(number):
        with database.write() as connection:
            events.append(connection, job.kind.name, job.job, "progress", {"n": number}, 1.0)

    threads = [threading.Thread(target=tell, args=(n,)) for n in range(20)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    told = story(database, job)
    assert [event.number for event in told] == list(range(1, 22))
    assert told[0].kind == job.first
    assert sorted(json.loads(event.data)["n"] for event in told[1:]) == list(range(20))


def test_the_outbox_finds_what_the_queue_lost(database, job):
    """Never sent; sent but gone from an empty queue; left by a lost worker; and nothing else."""
    small = frozenset({"small"})
    table = Plan if job.kind is PLANS else StudyPart

    def due(now, empty=small):
        with database.read() as connection:
            return [item.id for item in [*outbox.fresh(connection, now), *outbox.lost(connection, now, 5.0, empty)]]

    item = outbox.Due(job.row, "small", table)
    assert due(100.0) == [job.row]
    with database.write() as connection:
        assert outbox.take(connection, [item], 100.0, 5.0)
        assert not outbox.take(connection, [item], 100.0, 5.0), "two senders, one message"
        unknown = outbox.Due("nobody", "small", table)
        assert outbox.take(connection, [unknown, item], 106.0, 5.0) == [item], "all of a kind in one step"
        outbox.give_back(connection, item)
        assert outbox.take(connection, [item], 100.0, 5.0) == [item]
    assert due(104.0) == []
    assert due(106.0) == [job.row]
    assert due(106.0, frozenset()) == [], "it may still wait in a queue that is not empty"
    assert due(106.0 + outbox.LONGEST_SILENCE, frozenset()) == [job.row]
    mine = claim(database, job, 106.0)
    assert due(115.0) == []
    assert due(117.0) == [job.row], "the lease ran out"
    assert finish(database, job, mine, 118.0)
    assert due(10_000.0) == []

"""How sure a plan is, asked of each plan as soon as it is made; on both databases."""

import time

import pytest
from sqlalchemy import select

from planner.studies import promise
from worker.records import claiming, workshops
from worker.records.claiming import Claimant
from worker.records.plan_claims import PLANS
from worker.records.submitting import Submission, TooManyOpenPlans, submit
from worker.records.tables import Study
from worker.solving import request_promise
from worker.solving.request_promise import ask_how_sure


@pytest.fixture
def mine(database):
    """A plan in a worker's hands, and another workshop's beside it, in the other queue."""
    willow, aspen = (workshops.ensure(database, name, 0.0) for name in ("willow", "aspen"))
    now = time.time()
    with database.write() as connection:
        submit(connection, aspen, Submission("{}", "t", 5.0, "large"), now)
        plan = submit(connection, willow, Submission("{}", "t", 5.0, "small"), now).id
        return willow, claiming.claim(connection, PLANS, plan, Claimant("w", 10.0, 3), now)


def asked(database):
    with database.read() as connection:
        rows = connection.execute(select(Study.workshop_id, Study.plan_id, Study.kind, Study.queue, Study.question))
        return [tuple(row) for row in rows]


def test_it_is_asked_for_the_workshop_whose_plan_it_is(database, mine):
    workshop, claim = mine
    with database.write() as connection:
        ask_how_sure(connection, claim, time.time())
    [(owner, plan, kind, queue, question)] = asked(database)
    assert (owner, plan, kind, queue) == (workshop, claim.job_id, "promise", "small")
    assert all(f'"{name}"' in question for name in promise.STANDING)


def test_a_full_quota_leaves_it_unasked_and_the_plan_alone(database, mine, monkeypatch):
    def full(*_):
        raise TooManyOpenPlans("2 of 2 are open")

    monkeypatch.setattr(request_promise.studies, "submit", full)
    with database.write() as connection:
        ask_how_sure(connection, mine[1], time.time())
    assert asked(database) == []

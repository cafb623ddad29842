"""How sure a plan is, asked of each plan as soon as it is made; on both databases."""

import json
import time
from dataclasses import replace

import pytest
from sqlalchemy import select

from planner.studies import promise
from planner.studies.parts import Subject
from worker.records import claiming, studies, workshops
from worker.records.claiming import Claimant
from worker.records.plan_claims import PLANS
from worker.records.studies import Question
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
        asks = select(Study.workshop_id, Study.plan_id, Study.kind, Study.queue, Study.question)
        rows = connection.execute(asks.order_by(Study.created_at, Study.id))
        return [tuple(row) for row in rows]


def test_it_is_asked_for_the_workshop_whose_plan_it_is(database, mine):
    workshop, claim = mine
    with database.write() as connection:
        ask_how_sure(connection, claim, time.time())
    [(owner, plan, kind, queue, question)] = asked(database)
    assert (owner, plan, kind, queue) == (workshop, claim.job_id, "promise", "small")
    assert all(f'"{name}"' in question for name in promise.STANDING)


def pick(database, workshop, plan, **question):
    wanted = Question(plan, 1, "promise", promise.STANDING | question, "small")
    with database.write() as connection:
        studies.submit(connection, workshop, wanted, promise.split(Subject("", ""), wanted.question), time.time())


def chance(database):
    return json.loads(asked(database)[-1][-1])["confidence"]


def test_the_chance_picked_for_the_revision_before_goes_on(database, mine):
    """The last one picked; another question of the same kind picks none."""
    workshop, claim = mine
    for question in ({"confidence": 0.6}, {"confidence": 0.95}, {"confidence": 0.7, "seed": 5}):
        pick(database, workshop, claim.job_id, **question)
    with database.write() as connection:
        ask_how_sure(connection, replace(claim, revision=2), time.time())
    assert chance(database) == 0.95


def test_the_chance_picked_goes_to_a_plan_made_from_it(database, mine):
    """Until another is picked there."""
    workshop, claim = mine
    pick(database, workshop, claim.job_id, confidence=0.9)
    with database.write() as connection:
        made = submit(connection, workshop, Submission("{}", "variant", 5.0, "small", parent_id=claim.job_id), 0.0).id
    with database.write() as connection:
        ask_how_sure(connection, replace(claim, job_id=made), time.time())
    assert chance(database) == 0.9
    pick(database, workshop, made, confidence=0.65)
    with database.write() as connection:
        ask_how_sure(connection, replace(claim, job_id=made, revision=2), time.time())
    assert chance(database) == 0.65


def test_a_full_quota_leaves_it_unasked_and_the_plan_alone(database, mine, monkeypatch):
    def full(*_):
        raise TooManyOpenPlans("2 of 2 are open")

    monkeypatch.setattr(request_promise.studies, "submit", full)
    with database.write() as connection:
        ask_how_sure(connection, mine[1], time.time())
    assert asked(database) == []

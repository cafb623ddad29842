"""Parts of studies: claimed once, lost and found again, unlocked in turn, stopped and cancelled; on both databases."""

import pytest

from planner.studies.parts import Said, Split, Subquestion, firsts
from worker.records import (
    changing,
    claiming,
    ending,
    events,
    outbox,
    part_claims,
    plan_claims,
    studies,
    workshops,
)
from worker.records.claiming import Claimant
from worker.records.part_claims import PARTS
from worker.records.plan_claims import PLANS, Published
from worker.records.studies import Question
from worker.records.submitting import Submission, TooManyOpenPlans, submit
from worker.records.tables import StudyPart, Workshop

RESULT = Published('{"a": 1}', cost=10.0, bound=9.0, gap=0.1, ended_because="proven", solve_seconds=1.0)
LEASE, ATTEMPTS = 10.0, 3
SPLIT = Split(
    {"cells": 3},
    [
        Subquestion({"n": 0}, 2),
        Subquestion({"n": 1}, 2),
        Subquestion({"row": 1}, 4),
        Subquestion({"n": 3}, 4),
        Subquestion({}, None),
    ],
)
"""Two cells that lead to a row, one more cell, and the whole."""


@pytest.fixture
def workshop(database):
    return workshops.ensure(database, "willow", 0.0)


@pytest.fixture
def plan(database, workshop):
    with database.write() as connection:
        plan = submit(connection, workshop, Submission("{}", "t", 5.0, "small"), 100.0).id
        mine = claiming.claim(connection, PLANS, plan, Claimant("w", LEASE, ATTEMPTS), 100.0)
        assert plan_claims.publish(connection, mine, RESULT, 100.0)
    return plan


@pytest.fixture
def study(database, workshop, plan):
    with database.write() as connection:
        return studies.submit(connection, workshop, Question(plan, 1, "slip-table", {"x": 1}, "small"), SPLIT, 100.0)


def due(database, now=100.0):
    """Ids of parts to be sent now, marked as sent."""
    with database.write() as connection:
        found = [
            i
            for i in [*outbox.fresh(connection, now), *outbox.lost(connection, now, 5.0, frozenset())]
            if i.table is StudyPart
        ]
        for item in found:
            assert outbox.take(connection, [item], now, 5.0)
    return [item.id for item in found]


def claim(database, part, now=100.0):
    with database.write() as connection:
        return claiming.claim(connection, PARTS, part, Claimant("w", LEASE, ATTEMPTS), now)


def keep(database, mine, *said, result=None, now=100.0):
    with database.write() as connection:
        return part_claims.keep(connection, mine, [Said("cell", one) for one in said], result, now)


def told(database, study):
    with database.read() as connection:
        return events.after(connection, "study", study, 0)


def find(database, workshop, study):
    with database.read() as connection:
        return studies.find(connection, workshop, study)


def test_parts_come_in_turn_and_lead_to_the_whole(database, workshop, study):
    """A part that waits is not sent before those that lead to it; it is given what they said, in their order."""
    first = due(database)
    assert len(first) == 3
    mine = {m.number: m for m in (claim(database, part) for part in first)}
    assert sorted(mine) == [0, 1, 3]
    assert keep(database, mine[3], "d")
    assert keep(database, mine[1], "b1", "b2")
    assert due(database) == []
    assert keep(database, mine[0], "a")
    [row] = due(database)
    row = claim(database, row)
    assert (row.number, row.ask, [s.data for s in row.given]) == (2, {"row": 1}, ["a", "b1", "b2"])
    assert keep(database, row, "r")
    [last] = due(database)
    last = claim(database, last)
    assert [s.data for s in last.given] == ["a", "b1", "b2", "r", "d"]
    assert (last.campaign, last.plan) == ("{}", '{"a": 1}')
    assert keep(database, last, result='{"whole": 1}')
    done = find(database, workshop, study)
    assert (done.status, done.ended_because, done.parts_done) == ("done", "complete", 5)
    with database.read() as connection:
        assert studies.result(connection, study) == '{"whole": 1}'
    story = told(database, study)
    assert [e.number for e in story] == list(range(1, len(story) + 1))
    assert [e.kind for e in story] == ["begun", "started", *["cell"] * 5, "done"]


def test_a_plans_studies_are_listed_with_it_the_newest_first(database, workshop, plan, study):
    """Another plan's are not among them, nor another workshop's."""
    alder = workshops.ensure(database, "alder", 0.0)
    with database.write() as connection:
        other = submit(connection, workshop, Submission("{}", "t", 5.0, "small"), 100.0).id
        mine = claiming.claim(connection, PLANS, other, Claimant("w", LEASE, ATTEMPTS), 100.0)
        assert plan_claims.publish(connection, mine, RESULT, 100.0)
        elsewhere = studies.submit(connection, workshop, Question(other, 1, "slip-table", {}, "small"), SPLIT, 101.0)
        later = studies.submit(connection, workshop, Question(plan, 1, "promise", {}, "small"), SPLIT, 102.0)

        def listed(whose=workshop, of=plan, **more):
            return [row.id for row in studies.page(connection, whose, of, 9, **more)]

        assert listed() == [later, study]
        assert listed(of=other) == [elsewhere]
        assert listed(alder) == []
        assert listed(before=(102.0, later)) == [study]
        assert listed(kind="promise") == [later]


def test_a_late_worker_says_nothing(database, workshop, study):
    """Thought dead, back again: its answer is dropped, the next worker's is kept, once."""
    part = due(database)[0]
    late = claim(database, part)
    assert claim(database, part, 105.0) is None
    assert due(database, 120.0).count(part) == 1
    second = claim(database, part, 120.0)
    assert second.fence.attempt == 2
    assert keep(database, late, "old") is False
    assert keep(database, second, "new")
    assert keep(database, second, "again") is False
    assert [e.data for e in told(database, study) if e.kind == "cell"] == ['"new"']


def test_a_part_that_kills_workers_fails_the_study_and_keeps_what_was_said(database, workshop, study):
    """Three lost: the study fails as lost; nothing of it is sent any more."""
    other, part, _ = due(database)
    assert keep(database, claim(database, other), "a")
    for n in range(ATTEMPTS):
        assert claim(database, part, 100.0 + 20 * n) is not None
    assert claim(database, part, 200.0) is None
    failed = find(database, workshop, study)
    assert (failed.status, failed.ended_because) == ("failed", "lost")
    assert due(database, 1000.0) == []
    assert [e.kind for e in told(database, study)][-2:] == ["cell", "failed"]


def test_a_stop_puts_together_what_is_there(database, workshop, study):
    """Parts not begun are dropped; the one under way is heard to the end; the whole follows."""
    part = due(database)[0]
    mine = claim(database, part)
    with database.write() as connection:
        ending.request_stop(connection, "study", study, 101.0)
        ending.request_stop(connection, "study", study, 101.0)
    with database.read() as connection:
        assert claiming.standing(connection, mine) == (True, True)
    assert keep(database, mine, "a")
    [row] = due(database)
    assert keep(database, claim(database, row), "r")
    [last] = due(database)
    last = claim(database, last)
    assert [s.data for s in last.given] == ["a", "r"]
    assert keep(database, last, result="{}")
    assert find(database, workshop, study).ended_because == "stopped"


def test_one_study_never_fills_the_queue(database, workshop, plan):
    """Of fifty parts only as many are sent as may run; the next goes out when one is over."""
    many = Split({}, [*(Subquestion({"n": n}, 50) for n in range(50)), Subquestion({}, None)])
    with database.write() as connection:
        studies.submit(connection, workshop, Question(plan, 1, "levers", {}, "small"), many, 100.0)
    out = due(database)
    assert len(out) == workshops.QUOTAS["max_cores"]
    assert due(database) == []
    assert keep(database, claim(database, out[0]), "a")
    assert len(due(database)) == 1


def test_quota_sameness_and_deletion(database, workshop, plan, study):
    """Open studies count as open plans; the same question is found again; deleting frees what was stored."""
    question = Question(plan, 1, "slip-table", {"x": 1}, "small")
    with database.read() as connection:
        assert studies.alike(connection, workshop, question).id == study
        assert studies.alike(connection, workshop, Question(plan, 2, "slip-table", {"x": 1}, "small")) is None
        assert studies.alike(connection, workshop, Question(plan, 1, "slip-table", {"x": 2}, "small")) is None
    with database.write() as connection:
        connection.execute(Workshop.__table__.update().values(max_open_plans=1))
        with pytest.raises(TooManyOpenPlans):
            studies.submit(connection, workshop, question, SPLIT, 100.0)
        before = connection.execute(Workshop.__table__.select()).one().stored_bytes
    only = Split({}, [Subquestion({}, None)])
    with database.write() as connection:
        studies.remove(connection, study)
        single = studies.submit(connection, workshop, Question(plan, 1, "promise", {}, "small"), only, 100.0)
    assert keep(database, claim(database, due(database)[0]), result="x" * 100)
    with database.write() as connection:
        assert connection.execute(Workshop.__table__.select()).one().stored_bytes == before + 100
        changing.remove(connection, plan)
        assert connection.execute(Workshop.__table__.select()).one().stored_bytes == 0
        assert studies.find(connection, workshop, single) is None


@pytest.mark.parametrize("unlocks", [[None, None], [0, None], [5, None], [1], [2, None, None]])
def test_parts_listed_wrongly_are_refused(unlocks):
    with pytest.raises(ValueError, match="part"):
        firsts([Subquestion({}, n) for n in unlocks])

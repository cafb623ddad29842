"""A worker that is asked to end gives back what it works on, with what it has of it, and no loss is counted."""

import json
import time

import pytest
from sqlalchemy import select, update

from api.demo import EXAMPLES
from planner.control import Progress, Unhurried
from planner.errors import Infeasible, Problem, Stopped
from planner.planning.by_rule import plan_by_rule
from planner.planning.make import make_plan
from planner.studies.parts import Answer, Said, Split, Subquestion
from tests.planner_double import SMALL_CAMPAIGN, plan_of
from worker.leaving import Leaving
from worker.records import changing, claiming, ending, events, outbox, plan_claims, studies, submitting, workshops
from worker.records.claiming import Claimant
from worker.records.plan_claims import PLANS, Published
from worker.records.studies import Question
from worker.records.submitting import Submission
from worker.records.tables import Plan, Revision, StudyPart
from worker.settings import Settings
from worker.solving.job import Hands
from worker.solving.part import work_on_part
from worker.solving.plan import work_on_plan

MADE = Published("{}", cost=1.0, bound=1.0, gap=0.0, ended_because="proven", solve_seconds=1.0)


@pytest.fixture
def workshop(database):
    return workshops.ensure(database, "willow", 0.0)


def submitted(database, workshop, budget=600.0, campaign=SMALL_CAMPAIGN, **planning):
    document = campaign | {"planning": {"seconds": budget} | planning}
    with database.write() as connection:
        wanted = Submission(json.dumps(document), "t", budget, "small")
        return submitting.submit(connection, workshop, wanted, time.time()).id


def row_of(database, plan):
    with database.read() as connection:
        return connection.execute(select(Plan.__table__).where(Plan.id == plan)).one()


def told(database, plan):
    with database.read() as connection:
        return [event.kind for event in events.after(connection, "plan", plan, 0)]


def until_stopped(control, seconds=20.0):
    """Plan until asked to stop."""
    ends = time.monotonic() + seconds
    while not control.should_stop():
        assert time.monotonic() < ends, "nobody asked to stop"
        control.report(Progress("search", 0.1, cost=100.0))


def leaving_when(begun, leaving):
    """A planner that is asked to leave while it plans."""

    def planner(campaign, control, before=None):
        begun.append((campaign.planning.begin_from, control.seconds_left()))
        leaving.ask()
        until_stopped(control)
        return plan_of(campaign, "stopped")

    return planner


def test_a_plan_goes_back_and_the_next_worker_goes_on_from_it(database, workshop, tmp_path):
    """Three polite ends: queued again each time, due at once; the last worker has its order of work, and less time."""
    plan = submitted(database, workshop)
    begun = []
    for _ in range(3):
        leaving = Leaving()
        work_on_plan(Hands(database, Settings(data=tmp_path), "w", leaving), plan, leaving_when(begun, leaving))
        row = row_of(database, plan)
        assert (row.status, row.losses, row.lease_until, row.sent_at) == ("queued", 0, None, None)
        with database.read() as connection:
            assert [
                item.id
                for item in [
                    *outbox.fresh(connection, time.time()),
                    *outbox.lost(connection, time.time(), 5.0, frozenset()),
                ]
            ] == [plan]
    worked = row.worked
    assert worked > 0

    def finishing(campaign, control, before=None):
        begun.append((campaign.planning.begin_from, control.seconds_left()))
        return plan_of(campaign, "budget used")

    work_on_plan(Hands(database, Settings(data=tmp_path), "w"), plan, finishing)
    row = row_of(database, plan)
    assert (row.status, row.losses, row.so_far) == ("done", 0, None)
    assert begun[0][0] is None
    for order, _ in begun[1:]:
        assert [(run.tool, run.colours, run.shots) for run in order.presses["p1"]] == [("cup", ["sage"], 105)]
    assert begun[-1][1] <= 600.0 - worked
    assert [kind for kind in told(database, plan) if kind != "progress"] == [
        "queued", *["started", "handed-back"] * 3, "started", "done",
    ]  # fmt: skip


def test_what_was_proven_goes_on_with_the_plan(database, workshop, tmp_path):
    """The first worker had the best bound; the last one, with less time, came only to a rule's."""
    plan, leaving = submitted(database, workshop, campaign=EXAMPLES["starter"].document), Leaving()
    proven = []

    def searched(campaign, control, before=None):
        leaving.ask()
        until_stopped(control)
        rounds = campaign.planning.model_copy(update={"rounds": 2})
        found = make_plan(campaign.model_copy(update={"planning": rounds}), Unhurried())
        outcome = found.outcome.model_copy(update={"status": "feasible", "ended": "stopped"})
        proven.append(outcome.lower_bound)
        return found.model_copy(update={"outcome": outcome})

    work_on_plan(Hands(database, Settings(data=tmp_path), "w", leaving), plan, searched)
    assert row_of(database, plan).status == "queued"
    by_rule = []

    def last(campaign, control, before=None):
        by_rule.append(plan_by_rule(campaign))
        return by_rule[0]

    work_on_plan(Hands(database, Settings(data=tmp_path), "w"), plan, last)
    assert by_rule[0].outcome.lower_bound < proven[0]
    assert row_of(database, plan).bound == proven[0]
    with database.read() as connection:
        document = connection.execute(select(Revision.document)).scalar_one()
    assert json.loads(document)["outcome"]["lower_bound"] == proven[0]


def test_an_order_of_work_kept_before_bounds_were_is_gone_on_from(database, workshop, tmp_path):
    """A worker of before handed the plan back, one of now takes it."""
    plan = submitted(database, workshop)
    begun, leaving = [], Leaving()
    work_on_plan(Hands(database, Settings(data=tmp_path), "w", leaving), plan, leaving_when(begun, leaving))
    order = json.dumps(json.loads(row_of(database, plan).so_far)["order"])
    with database.write() as connection:
        connection.execute(update(Plan).where(Plan.id == plan).values(so_far=order))
    leaving = Leaving()
    work_on_plan(Hands(database, Settings(data=tmp_path), "w", leaving), plan, leaving_when(begun, leaving))
    assert [run.tool for run in begun[1][0].presses["p1"]] == ["cup"]


def test_a_plan_of_rounds_begins_anew(database, workshop, tmp_path):
    """So that it is the same plan on any machine, whoever was asked to end meanwhile."""
    plan = submitted(database, workshop, rounds=5)
    begun = []
    for _ in range(2):
        leaving = Leaving()
        work_on_plan(Hands(database, Settings(data=tmp_path), "w", leaving), plan, leaving_when(begun, leaving))
    assert begun == [(None, None), (None, None)]


def test_without_a_first_plan_it_goes_back_too(database, workshop, tmp_path):
    """What was known before is kept."""
    plan = submitted(database, workshop)
    leaving = Leaving()
    work_on_plan(Hands(database, Settings(data=tmp_path), "w", leaving), plan, leaving_when([], leaving))
    kept = row_of(database, plan).so_far
    assert kept

    def planner(campaign, control, before=None):
        leaving.ask()
        until_stopped(control)
        raise Stopped

    work_on_plan(Hands(database, Settings(data=tmp_path), "w", leaving), plan, planner)
    row = row_of(database, plan)
    assert (row.status, row.so_far) == ("queued", kept)


@pytest.mark.parametrize("ended", ["proven", "infeasible"])
def test_what_was_finished_all_the_same_is_kept(database, workshop, tmp_path, ended):
    """The planner never asked, or it has found that there is no plan: nobody needs to think of it again."""
    plan = submitted(database, workshop)
    leaving = Leaving()

    def planner(campaign, control, before=None):
        leaving.ask()
        if ended == "infeasible":
            until_stopped(control)
            raise Infeasible([Problem("/pieces/felt", "felt never arrives", "give it an arrival")])
        return plan_of(campaign, ended)

    work_on_plan(Hands(database, Settings(data=tmp_path), "w", leaving), plan, planner)
    assert row_of(database, plan).status == ("done" if ended == "proven" else "failed")


def test_a_stop_asked_for_by_the_maker_is_a_stop(database, workshop, tmp_path):
    """Also where the worker is asked to end at the same time."""
    plan = submitted(database, workshop)
    leaving = Leaving()

    def planner(campaign, control, before=None):
        with database.write() as connection:
            ending.request_stop(connection, "plan", plan, time.time())
        until_stopped(control)
        leaving.ask()
        return plan_of(campaign, "stopped")

    work_on_plan(Hands(database, Settings(data=tmp_path), "w", leaving), plan, planner)
    row = row_of(database, plan)
    assert (row.status, row.ended_because) == ("done", "stopped")


def test_a_new_revision_begins_afresh(database, workshop, tmp_path):
    """Nothing of an earlier revision's story is taken over."""
    plan = submitted(database, workshop)
    leaving = Leaving()
    work_on_plan(Hands(database, Settings(data=tmp_path), "w", leaving), plan, leaving_when([], leaving))
    staying = Hands(database, Settings(data=tmp_path), "w")
    work_on_plan(staying, plan, lambda campaign, control, before=None: plan_of(campaign, "proven"))
    with database.write() as connection:
        changing.plan_anew(connection, workshop, plan, json.dumps(SMALL_CAMPAIGN), 60.0, "small", time.time())
    row = row_of(database, plan)
    assert (row.so_far, row.worked) == (None, 0.0)


def test_a_part_goes_back_unanswered(database, workshop, tmp_path):
    """And is answered in full by the next worker."""
    plan = submitted(database, workshop)
    with database.write() as connection:
        mine = claiming.claim(connection, PLANS, plan, Claimant("w", 60.0, 3), time.time())
        assert plan_claims.publish(connection, mine, MADE, time.time())
        asked = Question(plan, 1, "slip-table", {}, "small")
        studies.submit(connection, workshop, asked, Split({}, [Subquestion({}, None)]), time.time())
        part = connection.execute(select(StudyPart.id)).scalar_one()
    leaving = Leaving()

    def cut_short(work, control):
        leaving.ask()
        until_stopped(control)
        return Answer([Said("cell", {"half": True})], None)

    work_on_part(Hands(database, Settings(data=tmp_path), "w", leaving), part, cut_short)
    with database.read() as connection:
        row = connection.execute(select(StudyPart.__table__)).one()
        study = row.study_id
        assert (row.status, row.losses, row.sent_at) == ("queued", 0, None)
    whole = Answer([Said("cell", {"whole": True})], {"n": 1})
    work_on_part(Hands(database, Settings(data=tmp_path), "w"), part, lambda work, control: whole)
    with database.read() as connection:
        said = [json.loads(event.data) for event in events.after(connection, "study", study, 0) if event.part == 0]
        assert said == [{"whole": True}]
        assert studies.result(connection, study) == '{"n": 1}'

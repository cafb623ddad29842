"""Who listens while a thread thinks outlives a moment without memory and a database that is away; plans and parts."""

import json
import threading
import time

import pytest
from sqlalchemy import select
from sqlalchemy.exc import OperationalError

from planner.studies.parts import Answer, Said, Split, Subquestion
from tests.live_service import waited
from tests.planner_double import SMALL_CAMPAIGN, plan_of
from worker.leaving import STAYING
from worker.records import claiming, events, part_claims, plan_claims, studies, submitting, workshops
from worker.records.claiming import Claim, Claimant
from worker.records.leases import Fence
from worker.records.part_claims import PARTS
from worker.records.plan_claims import PLANS, Published
from worker.records.studies import Question
from worker.records.submitting import Submission
from worker.records.tables import Plan, Study, StudyPart
from worker.settings import Settings
from worker.solving.control import WatchedControl
from worker.solving.failures import as_json
from worker.solving.job import Hands, Job
from worker.solving.listening import Overran, in_background, listen
from worker.solving.part import WORDING, work_on_part
from worker.solving.plan import work_on_plan

MADE = Published("{}", cost=1.0, bound=1.0, gap=0.0, ended_because="proven", solve_seconds=1.0)
AWAY = OperationalError("select", {}, Exception("away"))


@pytest.fixture
def plan(database):
    workshop = workshops.ensure(database, "willow", 0.0)
    with database.write() as connection:
        wanted = Submission(json.dumps(SMALL_CAMPAIGN), "t", 5.0, "small")
        return submitting.submit(connection, workshop, wanted, time.time()).id


@pytest.fixture
def part(database, plan):
    """Of a study with a single part, about the plan."""
    workshop = workshops.ensure(database, "willow", 0.0)
    with database.write() as connection:
        mine = claiming.claim(connection, PLANS, plan, Claimant("w", 60.0, 3), time.time())
        assert plan_claims.publish(connection, mine, MADE, time.time())
        question = Question(plan, 1, "slip-table", {}, "small")
        studies.submit(connection, workshop, question, Split({}, [Subquestion({}, None)]), time.time())
        return connection.execute(select(StudyPart.id)).scalar_one()


def failing_once(monkeypatch, error):
    """Asking where the claim stands fails the first time; gives an event: it was asked again."""
    asked, again, standing = [], threading.Event(), claiming.standing

    def fails(connection, mine):
        asked.append(mine)
        if len(asked) == 1:
            raise error
        again.set()
        return standing(connection, mine)

    monkeypatch.setattr(claiming, "standing", fails)
    return again


@pytest.mark.parametrize("error", [MemoryError(), AWAY], ids=["no memory", "no database"])
def test_a_part_is_listened_to_again(database, plan, part, tmp_path, monkeypatch, error):
    """And answered."""
    again = failing_once(monkeypatch, error)

    def answerer(asked, control):
        assert again.wait(20)
        return Answer([Said("cell", {"n": 1})], {"whole": True})

    work_on_part(Hands(database, Settings(data=tmp_path), "w"), part, answerer)
    with database.read() as connection:
        assert connection.execute(select(Study.status, Study.result)).one() == ("done", '{"whole": true}')


def said_of(database, kind):
    with database.read() as connection:
        study = connection.execute(select(Study.id)).scalar_one()
        return events.latest_said(connection, study, kind)


def test_what_a_part_works_out_on_the_way_is_written_before_its_answer(database, plan, part, tmp_path, monkeypatch):
    """Also where the records are away for a moment."""
    say, tries = part_claims.say, []

    def fails_once(*given):
        tries.append(given)
        if len(tries) == 1:
            raise AWAY
        return say(*given)

    monkeypatch.setattr(part_claims, "say", fails_once)

    def answerer(asked, control):
        asked.tell(Said("preliminary", {"n": 1}))
        asked.tell(Said("preliminary", {"n": 2}))
        waited(lambda: said_of(database, "preliminary") == '{"n": 2}', 20)
        return Answer([Said("promise", {"n": 9})], {"whole": True})

    work_on_part(Hands(database, Settings(data=tmp_path), "w"), part, answerer)
    with database.read() as connection:
        study = connection.execute(select(Study.id)).scalar_one()
        told = [(one.kind, one.data) for one in events.after(connection, "study", study, 0) if one.part is not None]
    assert told == [("preliminary", '{"n": 1}'), ("preliminary", '{"n": 2}'), ("promise", '{"n": 9}')]
    assert said_of(database, "cell") is None


def test_nothing_is_said_by_who_lost_the_part(database, plan, part):
    """Another worker has it."""
    with database.write() as connection:
        mine = claiming.claim(connection, PARTS, part, Claimant("w", 60.0, 3), 0.0, time.time())
        assert claiming.claim(connection, PARTS, part, Claimant("v", 60.0, 3), 1000.0, time.time()) is not None
        assert not part_claims.say(connection, mine, [Said("preliminary", {})], time.time())
    assert said_of(database, "preliminary") is None


@pytest.mark.parametrize("error", [MemoryError(), AWAY], ids=["no memory", "no database"])
def test_a_plan_is_listened_to_again(database, plan, tmp_path, monkeypatch, error):
    """And published."""
    again = failing_once(monkeypatch, error)

    def planner(campaign, control):
        assert again.wait(20)
        return plan_of(campaign, "proven")

    work_on_plan(Hands(database, Settings(data=tmp_path), "w"), plan, planner)
    with database.read() as connection:
        assert connection.execute(select(Plan.status)).scalar_one() == "done"


@pytest.mark.parametrize("table", [Plan, StudyPart])
@pytest.mark.parametrize("error", [None, MemoryError(), AWAY], ids=["written", "no memory", "no database"])
def test_who_overran_is_given_up(database, tmp_path, monkeypatch, error, table):
    """Once it can be written down; without memory at once, since it is the thread's end that gives it back."""
    control, tries, rest = WatchedControl(-1e6), [], threading.Event()

    def give_up(connection, mine, because, problems, now):
        assert (because, problems) == ("overran", [as_json(WORDING.overran)])
        tries.append(connection)
        if len(tries) == 1 and error is not None:
            raise error

    monkeypatch.setattr(claiming, "fail", give_up)
    monkeypatch.setattr(claiming, "standing", lambda connection, mine: (True, False))
    job = Job(
        Claim(Fence(table, "1", 1), "job", "willow", None),
        control,
        WORDING,
        think=lambda: rest.wait(20),
        keep=lambda connection, result, seconds: True,
        hand_back=lambda connection, result, seconds: True,
    )
    result = in_background(job.name, job.think)
    with pytest.raises(Overran):
        listen(database, Settings(data=tmp_path), job, result.done, STAYING)
    rest.set()
    assert len(tries) == (2 if error is AWAY else 1)

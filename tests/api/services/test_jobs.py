"""Plans and studies are stopped and cancelled in the same way."""

import json

import pytest

from api.service.refusals import Conflict, NotFound
from api.services import jobs
from api.services.once import Answer, Once
from planner.studies.parts import Split, Subquestion
from tests.api.plan_fixtures import waiting
from tests.planner_double import SMALL_CAMPAIGN
from worker.records import studies
from worker.records.studies import Question


def plan(service):
    return jobs.PLAN, waiting(service, json.dumps(SMALL_CAMPAIGN))


def study(service):
    plan_id = waiting(service, json.dumps(SMALL_CAMPAIGN))
    asked = Question(plan_id, 1, "promise", {}, "small")
    with service.database.write() as connection:
        return jobs.STUDY, studies.submit(
            connection, service.local_workshop, asked, Split({}, [Subquestion({}, None)]), 0.0
        )


def told(row) -> Answer:
    return Answer(202, {}, row.status)


def asked(service, workshop_id=None):
    return Once(workshop_id or service.local_workshop, None, ("", b""), told)


@pytest.mark.parametrize("make", [plan, study])
def test_stopping_twice_is_stopping_once_and_is_said_once(app, make):
    """Its events say so once; it is not over yet."""
    kind, job = make(app.service)
    for _ in range(2):
        jobs.stop(app.service, asked(app.service), kind, job)
    row = jobs.standing(app.service, app.service.local_workshop, kind, job)
    assert (row.stop_requested, row.finished) == (True, False)
    assert [e.kind for e in jobs.said_after(app.service, kind, job, 0)].count("stop-requested") == 1


@pytest.mark.parametrize("make", [plan, study])
def test_what_is_cancelled_is_over_and_can_no_longer_be_stopped(app, make):
    """Cancelling it again is no mistake."""
    kind, job = make(app.service)
    assert [jobs.cancel(app.service, asked(app.service), kind, job).body for _ in range(2)] == ["cancelled"] * 2
    with pytest.raises(Conflict, match=f"The {kind.name} is cancelled already"):
        jobs.stop(app.service, asked(app.service), kind, job)


@pytest.mark.parametrize("make", [plan, study])
def test_another_workshops_is_nobodys(app, make):
    """In the same words as one that never was."""
    kind, job = make(app.service)
    for change in (jobs.stop, jobs.cancel):
        with pytest.raises(NotFound):
            change(app.service, asked(app.service, "another"), kind, job)


def test_whoever_saw_another_state_changes_nothing(app):
    """What the caller checks is checked before anything is written."""
    kind, job = plan(app.service)

    def seen(row):
        raise Conflict("not as you saw it")

    with pytest.raises(Conflict, match="not as you saw it"):
        jobs.cancel(app.service, asked(app.service), kind, job, seen)
    assert not jobs.standing(app.service, app.service.local_workshop, kind, job).finished

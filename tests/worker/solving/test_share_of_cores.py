"""The planner is told how many cores are its share, and the records how many are taken."""

import json
import time

import pytest
from sqlalchemy import select

from tests.planner_double import SMALL_CAMPAIGN, plan_of
from worker.records import submitting, workshops
from worker.records.submitting import Submission
from worker.records.tables import Plan
from worker.settings import Settings
from worker.solving.job import Hands
from worker.solving.plan import work_on_plan


@pytest.mark.parametrize(("setting", "told"), [(1, 1), (3, 3)])
def test_the_planner_hears_its_share(database, tmp_path, setting, told):
    """As set, from the settings through the control."""
    workshop = workshops.ensure(database, "willow", 0.0)
    with database.write() as connection:
        submission = Submission(json.dumps(SMALL_CAMPAIGN), "t", 5.0, "small")
        plan = submitting.submit(connection, workshop, submission, time.time()).id
    heard = []

    def planner(campaign, control):
        with database.read() as connection:
            heard.append((control.cores(), connection.execute(select(Plan.cores)).scalar_one()))
        return plan_of(campaign, "proven")

    work_on_plan(Hands(database, Settings(data=tmp_path, cores_per_plan=setting), "w"), plan, planner)
    assert heard == [(told, told)]


def test_unset_it_is_two_where_the_machine_has_them(monkeypatch):
    """The search, and the bound beside it; never more than there are."""
    for there, share in ((1, 1), (2, 2), (64, 2), (None, 1)):
        monkeypatch.setattr("os.cpu_count", lambda there=there: there)
        assert Settings().cores == share

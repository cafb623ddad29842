"""The disk is full as a worker publishes a plan: it tries on, and the plan is there once as soon as there is room."""

import contextlib
import logging
import resource
import shutil

import pytest
from sqlalchemy import func, select

from tests.planner_double import plan_of
from tests.worker.solving.test_listening import plan
from worker.records.database import Database
from worker.records.tables import Plan, Revision
from worker.settings import Settings
from worker.solving.job import Hands
from worker.solving.plan import work_on_plan

__all__ = ["plan"]


@pytest.fixture
def database(tmp_path, empty_records):
    """A file of this process, which it may not lengthen later; a database server's files are the server's."""
    file = tmp_path / "records.sqlite"
    shutil.copyfile(empty_records, file)
    made = Database(f"sqlite:///{file}")
    yield made
    made.close()


class Room(logging.Handler):
    """No file of this process takes a byte behind its first 4,096; the records' log is longer. A disk that is full
    refuses the same write, with another number. There is room again once this has been said so often."""

    def __init__(self, refused):
        super().__init__()
        self.left = refused
        self.before = resource.getrlimit(resource.RLIMIT_FSIZE)

    def none(self):
        resource.setrlimit(resource.RLIMIT_FSIZE, (4096, self.before[1]))

    def again(self):
        resource.setrlimit(resource.RLIMIT_FSIZE, self.before)

    def emit(self, record):
        if record.getMessage().startswith("cannot reach the records"):
            self.left -= 1
            if self.left == 0:
                self.again()


@contextlib.contextmanager
def room(refused):
    """Listens to what the worker says."""
    listening, log = Room(refused), logging.getLogger("worker.solving.listening")
    log.addHandler(listening)
    try:
        yield listening
    finally:
        listening.again()
        log.removeHandler(listening)


@pytest.mark.parametrize("refused", [1, 3])
def test_a_plan_is_published_once_there_is_room(database, plan, tmp_path, refused):
    """It was thought of as long as it was: nothing is planned again."""
    planned = []

    def planner(campaign, control):
        planned.append(campaign)
        disk.none()
        return plan_of(campaign, "proven")

    with room(refused) as disk:
        work_on_plan(Hands(database, Settings(data=tmp_path), "w"), plan, planner)
    assert disk.left <= 0, "it was refused before"
    with database.read() as connection:
        assert connection.execute(select(Plan.status, Plan.attempt)).one() == ("done", 1)
        assert connection.execute(select(func.count()).select_from(Revision)).scalar_one() == 1
    assert len(planned) == 1

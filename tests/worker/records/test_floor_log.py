"""A plan's log on the floor: entries keep their order, and it holds so many and no more."""

import pytest

from worker.records import floor_log, workshops
from worker.records.floor_log import TooManyEntries
from worker.records.submitting import Submission, submit


def test_entries_are_numbered_until_it_is_full(database, monkeypatch):
    """What would not fit whole is not written at all; the last place can be taken."""
    monkeypatch.setattr(floor_log, "MOST_ENTRIES", 3)
    workshop = workshops.ensure(database, "willow", 0.0)
    with database.write() as connection:
        plan = submit(connection, workshop, Submission("{}", "t", 5.0, "small"), 0.0).id
        floor_log.append(connection, workshop, plan, [{"n": 1}, {"n": 2}], 1.0)
        with pytest.raises(TooManyEntries):
            floor_log.append(connection, workshop, plan, [{"n": 3}, {"n": 4}], 2.0)
        floor_log.append(connection, workshop, plan, [{"n": 3}], 3.0)
        kept = floor_log.entries(connection, workshop, plan)
    assert [(one.number, one.entry["n"]) for one in kept] == [(1, 1), (2, 2), (3, 3)]

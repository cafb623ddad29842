"""Submissions that are written in one step count as if they had come one after the other."""

import pytest
from sqlalchemy import select, update

from worker.records import events, workshops
from worker.records.reading import find
from worker.records.submitting import Submission, TooManyBytes, TooManyOpenPlans, Wanted, note_bytes, submit, submit_all
from worker.records.tables import Campaign, Plan, Workshop


@pytest.fixture
def willow(database):
    return workshops.ensure(database, "willow", 0.0)


@pytest.fixture
def alder(database):
    return workshops.ensure(database, "alder", 0.0)


def wanted(workshop, document="{}", now=1.0, **more):
    return Wanted(workshop, Submission(document, "Lamps", 5.0, "small", **more), now)


def limited(connection, workshop, **most):
    connection.execute(update(Workshop).where(Workshop.id == workshop).values(**most))


def test_plans_are_there_as_they_are_told(database, willow, alder):
    """What was told of a plan is what the records say of it, with its first event; equal documents are kept once."""
    with database.write() as connection:
        asked = [wanted(willow, now=1.5), wanted(alder), wanted(willow, "[]"), wanted(willow, currency="EUR")]
        rows = submit_all(connection, asked, 7.0)
    with database.read() as connection:
        for one, row in zip(asked, rows, strict=True):
            assert find(connection, one.workshop_id, row.id) == row
            (first,) = events.after(connection, "plan", row.id, 0)
            assert (first.number, first.kind, first.at) == (1, "queued", one.now)
        assert connection.execute(select(Plan.sent_at)).scalars().all() == [7.0] * 4
        kept = connection.execute(select(Campaign.workshop_id, Campaign.document)).all()
        assert sorted(map(tuple, kept)) == sorted([(willow, "{}"), (alder, "{}"), (willow, "[]")])
        stored = dict(connection.execute(select(Workshop.id, Workshop.stored_bytes)).all())
        assert (stored[willow], stored[alder]) == (4, 2)
        assert len({row.moulding_campaign_id for row in rows}) == 4


def test_one_too_many_is_refused_and_nobody_else(database, willow, alder):
    with database.write() as connection:
        limited(connection, willow, max_open_plans=2)
        first = submit(connection, willow, Submission("{}", "t", 5.0, "small"), 0.0)
        rows = submit_all(connection, [wanted(willow), wanted(alder), wanted(willow), wanted(alder)])
    assert [type(row) for row in (rows[0], rows[1], rows[3])] == [type(first)] * 3
    assert isinstance(rows[2], TooManyOpenPlans)
    assert "2 plans" in str(rows[2])


def test_bytes_count_within_a_step(database, willow):
    """Also those of documents that came with it; a document that is there already takes none."""
    with database.write() as connection:
        limited(connection, willow, max_bytes=9)
        note_bytes(connection, willow, 3)
        rows = submit_all(connection, [wanted(willow, text) for text in ("aaa", "aaa", "bbbb", "ccc")])
    assert [isinstance(row, TooManyBytes) for row in rows] == [False, False, True, False]


def test_a_variant_belongs_to_the_moulding_campaign_of_the_plan_it_was_made_from(database, willow):
    """Unless another is named; a plan made from nothing has one of its own, called as it is."""
    with database.write() as connection:
        first = submit(connection, willow, Submission("{}", "Lamps", 5.0, "small"), 1.0)
        other = submit(connection, willow, Submission("{}", "Bowls", 5.0, "small"), 2.0)
        variant = submit(connection, willow, Submission("[]", "Lamps, later", 5.0, "small", parent_id=first.id), 3.0)
        asked = Submission("[1]", "x", 5.0, "small", moulding_campaign_id=other.moulding_campaign_id)
        named = submit(connection, willow, asked, 4.0)
        both = Submission("[2]", "y", 5.0, "small", parent_id=first.id, moulding_campaign_id=other.moulding_campaign_id)
        moved = submit(connection, willow, both, 5.0)
    assert first.moulding_campaign_id != other.moulding_campaign_id
    assert variant.moulding_campaign_id == first.moulding_campaign_id
    assert named.moulding_campaign_id == moved.moulding_campaign_id == other.moulding_campaign_id

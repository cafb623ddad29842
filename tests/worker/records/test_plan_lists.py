"""Lists of plans: newest first, page by page, those asked for, and nobody else's; and a plan's line of descent."""

from sqlalchemy import update

from worker.records import floor_log, reading, workshops
from worker.records.reading import Listed
from worker.records.submitting import Submission, submit
from worker.records.tables import Plan


def submitted(connection, workshop, title, now, parent=None):
    return submit(connection, workshop, Submission(f'"{title} {now}"', title, 5.0, "small", parent_id=parent), now).id


def test_a_list_has_what_is_asked_for_newest_first(database):
    """By title, by status, by what a plan was made from; each alone and together."""
    willow, alder = (workshops.ensure(database, name, 0.0) for name in ("willow", "alder"))
    with database.write() as connection:
        pots = submitted(connection, willow, "pots", 1.0)
        lids = submitted(connection, willow, "lids", 2.0)
        again = submitted(connection, willow, "pots", 3.0, parent=pots)
        submitted(connection, alder, "pots", 4.0)
        connection.execute(update(Plan).where(Plan.id == lids).values(status="failed"))

        def listed(limit=9, before=None, **wanted):
            return [row.id for row in reading.page(connection, willow, limit, before, Listed(**wanted))]

        assert listed() == [again, lids, pots]
        assert listed(title="pots") == [again, pots]
        assert listed(status="failed") == [lids]
        assert listed(parent_id=pots) == [again]
        assert listed(title="pots", status="failed") == []
        assert listed(title="nobody's") == []
        assert listed(limit=2) == [again, lids]
        assert listed(limit=2, before=(2.0, lids)) == [pots]
        assert listed(before=(3.0, again), title="pots") == [pots]


def test_each_plan_has_the_campaign_it_was_made_from(database):
    """Its own among others', and none for another workshop."""
    willow, alder = (workshops.ensure(database, name, 0.0) for name in ("willow", "alder"))
    with database.write() as connection:
        plans = {title: submitted(connection, willow, title, 1.0) for title in ("pots", "lids", "trays")}
        for title, plan in plans.items():
            assert reading.campaign_document(connection, willow, plan) == f'"{title} 1.0"'
            assert reading.campaign_document(connection, alder, plan) is None
        assert reading.campaign_document(connection, willow, "nowhere") is None


def test_plans_are_listed_by_their_campaign(database):
    willow, alder = (workshops.ensure(database, name, 0.0) for name in ("willow", "alder"))
    with database.write() as connection:
        pots = submitted(connection, willow, "pots", 1.0)
        again = submitted(connection, willow, "pots", 3.0, parent=pots)
        lids = submitted(connection, willow, "lids", 2.0)
        campaigns = {row.id: row.moulding_campaign_id for row in reading.page(connection, willow, 9)}
        found = reading.of_campaigns(connection, willow, sorted(set(campaigns.values())))
        assert {name: [row.id for row in rows] for name, rows in found.items()} == {
            campaigns[pots]: [again, pots], campaigns[lids]: [lids],
        }  # fmt: skip
        assert reading.of_campaigns(connection, alder, [campaigns[pots]]) == {}
        assert reading.of_campaigns(connection, willow, []) == {}


def test_what_supporters_were_told_is_told_of_a_plan_and_of_those_it_was_made_from(database):
    """The nearest first, of each plan the newest; another workshop's are nobody's business."""
    willow, alder = (workshops.ensure(database, name, 0.0) for name in ("willow", "alder"))
    with database.write() as connection:
        first = submitted(connection, willow, "pots", 1.0)
        second = submitted(connection, willow, "pots", 2.0, parent=first)
        third = submitted(connection, willow, "pots", 3.0, parent=second)
        assert list(reading.line_of(connection, willow, third)) == [third, second, first]
        assert list(reading.line_of(connection, alder, third)) == []
        assert floor_log.last_update(connection, willow, third) is None
        for plan, text, now in ((first, "one", 10.0), (first, "two", 20.0), (third, "three", 15.0)):
            floor_log.keep_update(connection, willow, plan, text, now)
        told = [(kept.plan_id, kept.document) for kept in floor_log.updates(connection, willow, third)]
        assert told == [(third, "three"), (first, "two"), (first, "one")]
        last = floor_log.last_update(connection, willow, second)
        assert last is not None
        assert last.document == "two"
        assert floor_log.updates(connection, alder, third) == []

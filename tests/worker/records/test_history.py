"""What was done to a campaign: its own history, in its own workshop, the newest first."""

from sqlalchemy import select

from worker.records import history, workshops
from worker.records.submitting import Submission, submit
from worker.records.tables import Plan


def submitted(connection, workshop):
    """(plan, its campaign)"""
    plan = submit(connection, workshop, Submission("{}", "t", 5.0, "small"), 0.0).id
    return plan, connection.execute(select(Plan.moulding_campaign_id).where(Plan.id == plan)).scalar_one()


def test_each_campaign_has_its_own(database):
    willow, alder = (workshops.ensure(database, name, 0.0) for name in ("willow", "alder"))
    with database.write() as connection:
        (plan, campaign), (second, another) = submitted(connection, willow), submitted(connection, willow)
        theirs, _ = submitted(connection, alder)
        for at, (whose, of, what) in enumerate(
            [
                (willow, plan, "made"),
                (willow, second, "elsewhere"),
                (alder, theirs, "theirs"),
                (willow, plan, "changed"),
            ]
        ):
            history.add(connection, whose, of, "ana", what, float(at))
        history.add(connection, alder, plan, "eve", "not mine", 9.0)
        told = history.of_campaign(connection, willow, campaign, 10)
        assert [(row.what, row.at, row.plan_id) for row in told] == [("changed", 3.0, plan), ("made", 0.0, plan)]
        assert [row.what for row in history.of_campaign(connection, willow, campaign, 1)] == ["changed"]
        assert [row.what for row in history.of_campaign(connection, willow, another, 10)] == ["elsewhere"]
        assert history.of_campaign(connection, alder, campaign, 10) == []


def test_a_label_that_is_too_long_is_cut(database):
    """To what the column holds, which one of the databases checks."""
    willow = workshops.ensure(database, "willow", 0.0)
    with database.write() as connection:
        plan, campaign = submitted(connection, willow)
        history.add(connection, willow, plan, "a" * 250, "made", 0.0)
        [row] = history.of_campaign(connection, willow, campaign, 10)
    assert row.who == "a" * 200

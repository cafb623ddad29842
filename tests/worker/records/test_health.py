"""How much waits, by queue, and for how long."""

from sqlalchemy import insert, select

from worker.records import claiming, health, workshops
from worker.records.claiming import Claimant
from worker.records.plan_claims import PLANS
from worker.records.submitting import Submission, submit
from worker.records.tables import Plan, Revision


def test_a_queue_with_nothing_in_it_is_empty(database):
    """What is claimed waits no more; the oldest of a queue is told, and a queue nobody uses has nothing."""
    workshop = workshops.ensure(database, "willow", 0.0)
    with database.write() as connection:
        for at in (100.0, 130.0, 160.0):
            last = submit(connection, workshop, Submission("{}", "t", 5.0, "small"), at).id
        assert claiming.claim(connection, PLANS, last, Claimant("w", 10.0, 3), 170.0)
        found = health.queues(connection, ("small", "large"), 200.0)
    assert found == {"small": health.QueueHealth(2, 100.0), "large": health.QueueHealth(0, 0.0)}


def test_the_share_of_time_spent_waiting_for_a_core_is_of_plans_made_since(database):
    """Ten seconds and thirty, of which four and six were waited: a quarter; none made, none known."""
    workshop = workshops.ensure(database, "willow", 0.0)
    with database.write() as connection:
        plan = submit(connection, workshop, Submission("{}", "t", 5.0, "small"), 0.0)
        campaign = connection.execute(select(Plan.campaign_id).where(Plan.id == plan.id)).scalar_one()
        for number, (made, seconds, waited) in enumerate(((50.0, 99.0, 99.0), (100.0, 10.0, 4.0), (130.0, 30.0, 6.0))):
            connection.execute(
                insert(Revision).values(
                    plan_id=plan.id, number=number + 1, campaign_id=campaign, document="{}", solve_seconds=seconds,
                    waited_seconds=waited, made_at=made, cost=1.0, bound=1.0, gap=0.0, ended_because="proven",
                )
            )  # fmt: skip
        assert health.core_wait(connection, 100.0) == 0.25
        assert health.core_wait(connection, 101.0) == 0.2
        assert health.core_wait(connection, 131.0) is None

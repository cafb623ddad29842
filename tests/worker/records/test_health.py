"""How much waits, by queue, and for how long."""

from worker.records import claiming, health, workshops
from worker.records.claiming import Claimant
from worker.records.plan_claims import PLANS
from worker.records.submitting import Submission, submit


def test_a_queue_with_nothing_in_it_is_empty(database):
    """What is claimed waits no more; the oldest of a queue is told, and a queue nobody uses has nothing."""
    workshop = workshops.ensure(database, "willow", 0.0)
    with database.write() as connection:
        for at in (100.0, 130.0, 160.0):
            last = submit(connection, workshop, Submission("{}", "t", 5.0, "small"), at).id
        assert claiming.claim(connection, PLANS, last, Claimant("w", 10.0, 3), 170.0)
        found = health.queues(connection, ("small", "large"), 200.0)
    assert found == {"small": health.QueueHealth(2, 100.0), "large": health.QueueHealth(0, 0.0)}

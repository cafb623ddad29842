"""What is due is sent once; what the queue did not take is due again at once."""

import pytest

from worker.queue import sender
from worker.records import workshops
from worker.records.submitting import Submission, submit
from worker.settings import Settings


@pytest.fixture
def plans(database):
    workshop = workshops.ensure(database, "willow", 0.0)
    with database.write() as connection:
        return [submit(connection, workshop, Submission("{}", "t", 5.0, "small"), float(n)) for n in range(7)]


@pytest.fixture
def queue(monkeypatch):
    """A queue that is away once `room` messages are in it."""

    class Queue:
        def __init__(self) -> None:
            self.room, self.sent = 100, []

        def send_task(self, _task, args, **_how):
            if len(self.sent) >= self.room:
                raise ConnectionError
            self.sent += args

    monkeypatch.setattr(sender, "depths", lambda queue: {"small": len(queue.sent), "large": 0})
    return Queue()


@pytest.mark.parametrize("batch", [1, 3, 50])
def test_a_queue_that_goes_away_in_the_middle_gets_the_rest_later(database, plans, queue, monkeypatch, batch):
    """Four of seven are taken; the other three go as soon as it is back, and none goes twice."""
    monkeypatch.setattr(sender, "BATCH", batch)
    queue.room = 4
    with pytest.raises(ConnectionError):
        sender.send_due(database, queue, Settings(), lambda connection: 100.0)
    assert queue.sent == plans[:4]
    queue.room = 100
    assert sender.send_due(database, queue, Settings(), lambda connection: 100.5) == 3
    assert queue.sent == plans
    assert sender.send_due(database, queue, Settings(), lambda connection: 101.0) == 0

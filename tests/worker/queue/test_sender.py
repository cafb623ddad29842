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
        room, sent = 100, []

    def send(queue, _task, what, _name):
        if queue is not None:  # the sender of a service that another test has not ended yet
            return
        if len(Queue.sent) >= Queue.room:
            raise ConnectionError
        Queue.sent.append(what)

    Queue.sent = []
    monkeypatch.setattr(sender, "send", send)
    monkeypatch.setattr(sender, "depths", lambda _queue: {"small": len(Queue.sent), "large": 0})
    return Queue


@pytest.mark.parametrize("batch", [1, 3, 50])
def test_a_queue_that_goes_away_in_the_middle_gets_the_rest_later(database, plans, queue, monkeypatch, batch):
    """Four of seven are taken; the other three go as soon as it is back, and none goes twice."""
    monkeypatch.setattr(sender, "BATCH", batch)
    queue.room = 4
    with pytest.raises(ConnectionError):
        sender.send_due(database, None, Settings(), lambda: 100.0)
    assert queue.sent == plans[:4]
    queue.room = 100
    assert sender.send_due(database, None, Settings(), lambda: 100.5) == 3
    assert queue.sent == plans
    assert sender.send_due(database, None, Settings(), lambda: 101.0) == 0

"""What is due is sent once; what the queue did not take is due again at once."""

import base64
import json

import pytest
import redis

from tests.live_service import waited
from worker.queue import broker, sender, server
from worker.records import claiming, outbox, workshops
from worker.records.claiming import Claimant
from worker.records.plan_claims import PLANS
from worker.records.submitting import Submission, Wanted, submit, submit_all
from worker.settings import Settings


@pytest.fixture
def plans(database):
    workshop = workshops.ensure(database, "willow", 0.0)
    with database.write() as connection:
        return [submit(connection, workshop, Submission("{}", "t", 5.0, "small"), float(n)).id for n in range(7)]


@pytest.fixture
def queue(monkeypatch):
    """A queue that takes so many batches, and is away then."""

    class Queue:
        def __init__(self) -> None:
            self.takes, self.sent = 100, []

        def put(self, messages) -> None:
            if not self.takes:
                raise ConnectionError
            self.takes -= 1
            self.sent += [message.row_id for message in messages]

    monkeypatch.setattr(sender, "depths", lambda queue: {"small": len(queue.sent), "large": 0})
    monkeypatch.setattr(sender, "put", Queue.put)
    return Queue()


@pytest.mark.parametrize(("batch", "takes", "taken"), [(1, 4, 4), (3, 1, 3), (50, 0, 0)])
def test_a_queue_that_goes_away_in_the_middle_gets_the_rest_later(
    database, plans, queue, monkeypatch, batch, takes, taken
):
    """What it did not take goes as soon as it is back, and none goes twice."""
    monkeypatch.setattr(sender, "BATCH", batch)
    queue.takes = takes
    with pytest.raises(ConnectionError):
        sender.send_due(database, queue, Settings(), lambda connection: 100.0)
    assert queue.sent == plans[:taken]
    queue.takes = 100
    assert sender.send_due(database, queue, Settings(), lambda connection: 100.5) == 7 - taken
    assert queue.sent == plans
    assert sender.send_due(database, queue, Settings(), lambda connection: 101.0) == 0


@pytest.mark.parametrize("claimed", ["before it is said to have failed", "afterwards"])
def test_a_message_that_arrived_though_sending_failed_loses_nothing(database, plans, queue, monkeypatch, claimed):
    """The server took it and went away before it said so; a worker has it, and is lost: the plan is sent again."""

    def claim() -> None:
        with database.write() as connection:
            assert claiming.claim(connection, PLANS, plans[0], Claimant("w", 10.0, 3), 100.0)

    def put(queue, messages) -> None:
        if claimed != "afterwards":
            claim()
        raise ConnectionError

    monkeypatch.setattr(sender, "put", put)
    with pytest.raises(ConnectionError):
        sender.send_due(database, queue, Settings(), lambda connection: 100.0)
    monkeypatch.undo()
    monkeypatch.setattr(sender, "depths", lambda queue: {"small": 0, "large": 0})
    monkeypatch.setattr(sender, "put", type(queue).put)
    if claimed == "afterwards":
        claim()
    assert sender.send_due(database, queue, Settings(), lambda connection: 101.0) == 6, "those that nobody has"
    assert sender.send_due(database, queue, Settings(), lambda connection: 111.0) >= 1
    assert plans[0] in queue.sent


def test_what_was_sent_is_looked_for_again_only_when_asked(database, plans, queue, monkeypatch):
    """After a nudge only what is new is looked for; once a second what a queue that is empty has lost, too."""
    assert sender.send_due(database, queue, Settings(), lambda connection: 100.0) == 7
    monkeypatch.setattr(sender, "depths", lambda queue: {"small": 0, "large": 0})
    assert sender.send_due(database, queue, Settings(), lambda connection: 200.0, again=False) == 0
    assert sender.send_due(database, queue, Settings(), lambda connection: 200.0) == 7
    assert queue.sent == plans * 2


@pytest.fixture
def sending(database, queue):
    """A sender at work, of a service that was there before or not; it has ended afterwards."""
    made = []

    def begin():
        one = sender.Sender(database, queue, Settings())
        made.append(one)
        one.start()
        waited(lambda: one.takes or not queue.takes, 30)
        return one

    yield begin
    for one in made:
        one.stop()


def handed_over(database, number):
    """Plans that whoever wrote them down sends itself, marked as sent just now."""
    workshop = workshops.ensure(database, "alder", 0.0)
    wanted = [Wanted(workshop, Submission("{}", "t", 5.0, "small"), float(n)) for n in range(number)]
    with database.write() as connection:
        rows = submit_all(connection, wanted, database.lease_clock.now(connection))
    return [row.id for row in rows]


def test_what_is_handed_over_is_sent_without_being_looked_for(database, queue, sending):
    """Each once, in its order; and what is handed over at the very end goes out before the sender is gone."""
    one = sending()
    those = handed_over(database, 4)
    with database.read() as connection:
        assert outbox.fresh(connection, 1e12) == []
    for name in those[:3]:
        one.send(outbox.Due(name, "small"))
    waited(lambda: queue.sent == those[:3], 30)
    one.send(outbox.Due(those[3], "small"))
    one.stop()
    assert queue.sent == those
    assert not one.takes


def test_what_is_handed_over_while_the_queue_is_away_is_due_for_anybody(database, queue, sending):
    one = sending()
    queue.takes = 0
    those = handed_over(database, 2)
    for name in those:
        one.send(outbox.Due(name, "small"))
    waited(lambda: not one.takes, 30)
    with database.read() as connection:
        assert [item.id for item in outbox.fresh(connection, 1e12)] == those
    queue.takes = 100
    waited(lambda: queue.sent == those, 30)
    waited(lambda: one.takes, 30)


def test_what_was_in_the_hands_of_one_that_was_killed_is_sent_by_the_next(database, queue, sending):
    """Though the queue is not empty, so that nothing else would be looked for in minutes."""
    those = handed_over(database, 2)
    queue.sent += ["somebody's"]
    sending()
    waited(lambda: queue.sent[1:] == those, 30)


def test_a_message_is_what_celery_itself_would_have_sent(tmp_path):
    """Field by field, but for names drawn anew each time; so a newer Celery that writes another one is noticed."""
    address = server.address_in(tmp_path)
    process = server.start(tmp_path, address)
    try:
        queue = broker.make_queue(Settings(data=tmp_path, redis_url=address.url))
        broker.put(queue, [broker.Message(broker.TASK, "abc", broker.SMALL)])
        queue.send_task(broker.TASK, args=["abc"], queue=broker.SMALL, ignore_result=True)
        client = redis.Redis.from_url(address.url)
        theirs, ours = (json.loads(text) for text in client.lrange(broker.SMALL, 0, -1))
        client.close()
    finally:
        process.kill()
        process.wait()
    for message in (ours, theirs):
        for group, drawn in (
            ("headers", ("id", "root_id")), ("properties", ("correlation_id", "delivery_tag", "reply_to"))
        ):  # fmt: skip
            for name in drawn:
                message[group].pop(name)
    assert ours == theirs


def test_a_queue_that_is_away_takes_nothing_of_a_batch(tmp_path):
    """And says so within the clients' patience."""
    queue = broker.make_queue(Settings(data=tmp_path, redis_url=f"redis://127.0.0.1:{server.free_port()}/0"))
    with pytest.raises(redis.RedisError):
        broker.put(queue, [broker.Message(broker.TASK, "abc", broker.SMALL)] * 3)


def test_it_is_said_once_that_the_queue_is_away_and_once_that_it_is_back(database, plans, queue, caplog):
    """And nothing of either while it is there."""
    caplog.set_level("INFO", logger=sender.log.name)
    one = sender.Sender(database, queue, Settings())
    one.start()
    waited(lambda: queue.sent == plans, 30)
    one.stop()
    assert caplog.messages == []
    queue.takes, queue.sent = 0, []
    other = sender.Sender(database, queue, Settings())
    other.start()
    waited(lambda: caplog.messages, 30)
    queue.takes = 100
    other.nudge()
    waited(lambda: other.takes, 30)
    other.stop()
    assert caplog.messages == ["plans wait, the queue cannot be reached: ConnectionError", "the queue is back"]


def test_a_message_is_what_celery_would_send():
    """Held against Celery's own task message (protocol 2), header by header; only the random ids are ours."""
    queue = broker.make_queue(Settings(redis_url="redis://127.0.0.1:1/0"))
    for task, row_id in ((broker.TASK, "first"), (broker.PART_TASK, "second"), (broker.TASK, "third")):
        put = json.loads(broker._written(queue, broker.Message(task, row_id, "large")))
        theirs = queue.amqp.as_task_v2(put["headers"]["id"], task, [row_id], ignore_result=True)
        assert put["headers"] == json.loads(json.dumps(theirs.headers))
        assert json.loads(base64.b64decode(put["body"])) == json.loads(json.dumps(theirs.body))
        assert put["properties"]["correlation_id"] == put["headers"]["id"]

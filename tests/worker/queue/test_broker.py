"""How the queue hands out tasks: one at a time to who is free, and again only to nobody who still works on it."""

from worker.queue.broker import make_queue
from worker.settings import Settings
from worker.solving.control import LONGEST_STRETCH


def test_a_worker_takes_no_more_than_it_works_on():
    """What is taken beforehand would wait behind a long plan while another worker stands idle."""
    queue = make_queue(Settings())
    assert queue.conf.worker_prefetch_multiplier == 1
    assert queue.conf.task_acks_late is True, "a worker that dies leaves its task on the queue"
    assert queue.conf.task_reject_on_worker_lost is False
    assert queue.conf.worker_cancel_long_running_tasks_on_connection_loss is False


def test_a_task_is_not_handed_out_again_while_it_may_still_be_worked_on():
    """The queue takes a task for lost after twice the longest that any may take, however it asks for the setting."""
    queue = make_queue(Settings(largest_budget=60, overrun_grace=30))
    longest = queue.conf.task_time_limit
    assert longest >= 60 * LONGEST_STRETCH + 30
    assert queue.conf.visibility_timeout == 2 * longest
    assert queue.conf.broker_transport_options["visibility_timeout"] == 2 * longest
    assert queue.conf.result_backend_transport_options["visibility_timeout"] == 2 * longest


def test_a_queue_that_is_away_is_waited_for():
    """No message is run from anything but JSON."""
    queue = make_queue(Settings())
    assert queue.conf.broker_connection_retry_on_startup is True
    assert queue.conf.broker_channel_error_retry is True
    assert queue.conf.broker_connection_max_retries is None
    assert queue.conf.accept_content == ["json"]

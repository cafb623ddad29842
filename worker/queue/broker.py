"""The Celery application and every setting that decides what a crash may cost."""

import base64
import json
from collections.abc import Iterable
from functools import lru_cache
from typing import Any, NamedTuple
from uuid import uuid4

import redis
from celery import Celery

from worker.queue.client import client_of
from worker.settings import Settings
from worker.solving.control import LONGEST_STRETCH
from worker.solving.overrun import LONGEST_GRACE

SMALL, LARGE = "small", "large"
QUEUES = (SMALL, LARGE)
TASK, PART_TASK = "shot-to-ship.plan", "shot-to-ship.part"


def make_queue(settings: Settings) -> Celery:
    """A Celery application for these settings. Makes no connection yet."""
    # Above the longest a task may take: a shorter one hands a running task out a second time.
    longest = LONGEST_STRETCH * settings.largest_budget + (LONGEST_GRACE + 1) * settings.overrun_grace
    transport = {
        "visibility_timeout": longest * 2,
        "unacked_restore_interval": 10,
        "socket_timeout": 10,
        "socket_connect_timeout": 3,
        "socket_keepalive": True,
        "health_check_interval": 10,
    }
    queue = Celery("shot-to-ship", broker=settings.redis_url, set_as_current=False)
    queue.conf.update(
        broker_transport_options=transport,
        visibility_timeout=longest * 2,
        result_backend_transport_options={"visibility_timeout": longest * 2},
        broker_connection_retry_on_startup=True,
        broker_connection_timeout=3,
        broker_connection_max_retries=None,
        # A server that takes no writes for a while (its disk is full) is one that is away: wait, do not end.
        broker_channel_error_retry=True,
        accept_content=["json"],
        task_serializer="json",
        # The result is a row in the database. A result backend would block for long when Redis is away.
        task_ignore_result=True,
        result_backend=None,
        # Taken off the queue when done. The row's lease and attempt, not the queue, say who may publish.
        task_acks_late=True,
        task_reject_on_worker_lost=False,
        worker_cancel_long_running_tasks_on_connection_loss=False,
        worker_prefetch_multiplier=1,
        worker_max_tasks_per_child=200,
        worker_soft_shutdown_timeout=10,
        # Only a backstop: the task ends itself by its own deadline, never by an exception out of a signal.
        task_time_limit=longest,
        task_default_queue=SMALL,
        task_create_missing_queues=True,
        worker_hijack_root_logger=False,
        worker_send_task_events=False,
        enable_utc=True,
    )
    return queue


class Message(NamedTuple):
    """What the queue is told: the task, and the id of the plan or of the part of a study. queue: small or large."""

    task: str
    row_id: str
    queue: str


def put(queue: Celery, messages: Iterable[Message]) -> None:
    """Put messages into their queues in one step: all of them or none.

    Raises redis.exceptions.RedisError soon, not late, when the server is away.
    """
    with _client(queue.conf.broker_url).pipeline(transaction=True) as step:
        for message in messages:
            step.lpush(message.queue, _written(queue, message))
        step.execute()


def _written(queue: Celery, message: Message) -> str:
    """The message as Celery's workers read it from a Redis list: its task message protocol, version 2, in the envelope
    of kombu's virtual transports. Celery's own way of sending asks the server four times for each."""
    headers, (_, named, embedded) = _made(queue, message.task)
    name, arguments = str(uuid4()), [message.row_id]
    return json.dumps(
        {
            "body": base64.b64encode(json.dumps((arguments, named, embedded)).encode()).decode(),
            "content-encoding": "utf-8",
            "content-type": "application/json",
            "headers": headers | {"id": name, "root_id": name, "argsrepr": repr(arguments)},
            "properties": {
                "correlation_id": name,
                "reply_to": "",
                "delivery_mode": 2,
                "delivery_info": {"exchange": "", "routing_key": message.queue},
                "priority": 0,
                "body_encoding": "base64",
                "delivery_tag": str(uuid4()),
            },
        }
    )


@lru_cache(maxsize=8)
def _made(queue: Celery, task: str) -> tuple[dict[str, Any], tuple[Any, Any, Any]]:
    """Headers and body as Celery makes them for that task; of one message only its id and its argument are its own."""
    made = queue.amqp.as_task_v2("", task, [""], ignore_result=True)
    return made.headers, made.body


def depths(queue: Celery) -> dict[str, int]:
    """Messages waiting in each queue; raises redis.exceptions.RedisError at once when the server is away."""
    client = _client(queue.conf.broker_url)
    return {name: int(client.llen(name)) for name in QUEUES}


@lru_cache(maxsize=4)
def _client(url: str) -> redis.Redis:
    # Celery's own connection tries again for seconds; a question about health wants its answer now.
    return client_of(url)

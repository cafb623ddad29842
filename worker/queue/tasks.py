"""The two Celery tasks, a plan and a part of a study: an id comes in, everything else is in the database."""

import logging
import os
import resource
import signal
import socket
from collections.abc import Callable
from typing import Any

from celery import Celery
from celery.signals import worker_process_init, worker_ready, worker_shutting_down
from opentelemetry import trace

from worker.leaving import Leaving
from worker.parents import die_with_parent
from worker.queue.broker import PART_TASK, TASK
from worker.queue.keeping import Keeper
from worker.queue.presence import Presence
from worker.queue.sender import Sender, send_due
from worker.records.database import Database
from worker.settings import Settings
from worker.solving.job import Hands
from worker.solving.listening import Overran
from worker.solving.part import Answerer, work_on_part
from worker.solving.plan import Planner, work_on_plan
from worker.webhooks.sender import WebhookSender

log = logging.getLogger(__name__)
# Spans go nowhere until an OpenTelemetry SDK is installed and set up; the API's requests have theirs from FastAPI.
tracer = trace.get_tracer("shot-to-ship.worker")


def add_tasks(
    queue: Celery, database: Database, settings: Settings, planner: Planner, answerer: Answerer, leaving: Leaving
) -> None:
    """Teach the application to plan, and to work out parts of studies."""
    here = socket.gethostname()

    def carry_out(kind: str, row_id: str, work: Callable[[Hands, str], None]) -> None:
        try:
            with tracer.start_as_current_span(kind, attributes={kind: row_id}):
                work(Hands(database, settings, f"{here}:{os.getpid()}", leaving), row_id)
        except Overran:
            # The planner's thread cannot be ended; its process can. The job is already recorded as failed.
            os.kill(os.getpid(), signal.SIGKILL)

    @queue.task(name=TASK)  # type: ignore[untyped-decorator]  # celery has no types
    def plan(plan_id: str) -> None:
        carry_out("plan", plan_id, lambda hands, row: work_on_plan(hands, row, planner))

    @queue.task(name=PART_TASK)  # type: ignore[untyped-decorator]  # celery has no types
    def part(part_id: str) -> None:
        carry_out("part", part_id, lambda hands, row: work_on_part(hands, row, answerer))
        try:
            send_due(database, queue, settings)  # what this part made room for or unlocked, without waiting a second
        except Exception as error:
            log.warning("the next part waits for the sender: %s", type(error).__name__)


def tend(queue: Celery, database: Database, settings: Settings, name: str, queues: str, leaving: Leaving) -> list[Any]:
    """Wire what a worker does beside its tasks. The caller keeps what is returned: signals hold it weakly."""
    here = f"{name}@{socket.gethostname()}:{os.getpid()}"
    sender = Sender(database, queue, settings)
    presence = Presence(database, here, queues)
    webhooks = WebhookSender(database, settings)
    keeper = Keeper(database, settings)

    def child_begins(**_: object) -> None:
        die_with_parent()
        _cap_memory(settings.memory_bytes_per_plan)

    def begin(**_: object) -> None:
        presence.start()
        webhooks.start()
        keeper.start()
        sender.start()

    def end(**_: object) -> None:
        leaving.ask()  # what is being worked on is given back while the others below end
        sender.stop()
        webhooks.stop()
        keeper.stop()
        presence.stop()

    worker_process_init.connect(child_begins)
    worker_ready.connect(begin)
    worker_shutting_down.connect(end)
    return [child_begins, begin, end]


def _cap_memory(largest: int) -> None:
    """From here on a plan that needs more gets a MemoryError instead of the whole machine."""
    _, hard = resource.getrlimit(resource.RLIMIT_DATA)
    resource.setrlimit(resource.RLIMIT_DATA, (largest, hard))

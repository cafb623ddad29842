"""A worker process: takes plan and part ids from the queue, plans in a child, and resends what got lost."""

import argparse
import gc
import logging
import os
import sys

from planner.studies.kinds import answer
from worker.leaving import Leaving
from worker.logs import log_as_json
from worker.queue.broker import QUEUES, make_queue
from worker.queue.tasks import add_tasks, tend
from worker.records.opening import open_records
from worker.settings import Settings
from worker.solving.part import Answerer
from worker.solving.plan import Planner
from worker.warming import Compiler, nothing_to_compile, warm_up


def options() -> argparse.ArgumentParser:
    """The worker's arguments."""
    parser = argparse.ArgumentParser(prog="python -m worker", description=__doc__)
    parser.add_argument("--queues", type=_queues, default=",".join(QUEUES), help="queues to take from")
    parser.add_argument("--name", default="worker", help="the worker's name in the logs")
    return parser


def _queues(text: str) -> str:
    if unknown := sorted(set(text.split(",")) - set(QUEUES)):
        raise argparse.ArgumentTypeError(f"no such queue: {', '.join(unknown)}; there are {', '.join(QUEUES)}")
    return text


def main(planner: Planner, answerer: Answerer = answer, compile_all: Compiler = nothing_to_compile) -> None:
    """Run until told to end. planner: turns a campaign into a run plan. answerer: works out parts of studies.
    compile_all: builds what both need compiled."""
    given = options().parse_args()
    os.umask(0o077)  # whatever is written here is nobody's business but its owner's
    try:
        settings = Settings.from_environment()
    except ValueError as error:
        sys.exit(str(error))
    if not settings.redis_url:
        sys.exit("SHOT_TO_SHIP_REDIS_URL is not set: a worker needs the queue's address")
    log_as_json(logging.INFO)
    warm_up(planner, settings.data, compile_all)
    gc.freeze()  # what is there now stays, and is shared with the children that plan
    gc.enable()
    try:
        database = open_records(settings)
    except ValueError as error:
        sys.exit(str(error))
    database.close()
    queue = make_queue(settings)
    leaving = Leaving()
    add_tasks(queue, database, settings, planner, answerer, leaving)
    kept = tend(queue, database, settings, given.name, given.queues, leaving)
    queue.worker_main(
        [
            "worker",
            "--pool=prefork",
            "--concurrency=1",
            f"--queues={given.queues}",
            f"--hostname={given.name}@%h",
            "--without-gossip",
            "--without-mingle",
            "--loglevel=INFO",
        ]
    )
    kept.clear()

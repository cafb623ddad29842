"""A worker process: takes plan and part ids from the queue, plans in a child, and resends what got lost. Where queues
are given several times, so many workers."""

import argparse
import ctypes
import gc
import logging
import os
import sys
from functools import partial
from importlib import import_module

from planner.studies.kinds import answer
from worker.leaving import Leaving
from worker.logs import log_as_json
from worker.queue.broker import QUEUES, make_queue
from worker.queue.tasks import add_tasks, tend
from worker.records.database import Database
from worker.records.opening import open_records
from worker.settings import Settings
from worker.several import several
from worker.solving.part import Answerer
from worker.solving.plan import Planner
from worker.warming import Compiler, nothing_to_compile, warm_up

LOADED_LATE = (
    "celery.bin.worker",
    "celery.apps.worker",
    "celery.concurrency.prefork",
    "celery.worker.consumer",
    "kombu.transport.redis",
)
"""Modules that the queue's library loads only as a worker begins: loaded before, several workers share them."""


def options() -> argparse.ArgumentParser:
    """The worker's arguments."""
    parser = argparse.ArgumentParser(prog="python -m worker", description=__doc__)
    parser.add_argument(
        "--queues",
        type=_queues,
        action="append",
        help=f"queues to take from, {','.join(QUEUES)} without a word; given again, for one more worker, which shares "
        "memory with the first",
    )
    parser.add_argument(
        "--name", default="worker", help="the worker's name in the logs; of several, numbers are put behind it"
    )
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
    every: list[str] = given.queues or [",".join(QUEUES)]
    warm_up(planner, settings.data, compile_all)
    try:
        database = open_records(settings)
    except ValueError as error:
        sys.exit(str(error))
    database.close()  # each worker opens what it needs; to look whether they are up to date is done once
    for name in LOADED_LATE:
        import_module(name)
    _give_back()
    gc.freeze()  # what is there now stays, and is shared with the children that plan
    gc.enable()
    work = partial(_work, settings, database, planner, answerer)
    if len(every) == 1:
        work(every[0], given.name)
    else:
        several(len(every), lambda n: work(every[n], f"{given.name}{n + 1}"))


def _give_back() -> None:
    """To the system, what loading has let go: the C library holds on to it (glibc; others have no such call)."""
    trim = getattr(ctypes.CDLL(None), "malloc_trim", None)
    if trim is not None:
        trim(0)


def _work(
    settings: Settings, database: Database, planner: Planner, answerer: Answerer, queues: str, name: str
) -> None:  # fmt: skip
    """Take from these queues until told to end."""
    queue = make_queue(settings)
    leaving = Leaving()
    add_tasks(queue, database, settings, planner, answerer, leaving)
    kept = tend(queue, database, settings, name, queues, leaving)
    queue.worker_main(
        [
            "worker",
            "--pool=prefork",
            "--concurrency=1",
            f"--queues={queues}",
            f"--hostname={name}@%h",
            "--without-gossip",
            "--without-mingle",
            "--loglevel=INFO",
        ]
    )
    kept.clear()

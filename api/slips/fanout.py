"""Work that is spread over the machine's cores: processes that hold a campaign compiled and answer small questions.

They are started at the first question, by a thread that lives as long as the service, and end with it. A question
names its campaign and plan by content; a process that has not seen them compiles them once.
"""

import asyncio
import atexit
import hashlib
import json
import os
import threading
from collections.abc import AsyncIterator, Callable, Iterable
from concurrent.futures import Future, ProcessPoolExecutor, ThreadPoolExecutor
from functools import lru_cache
from multiprocessing import get_context
from typing import Any, TypeVar

from planner.campaign import Campaign
from planner.campaign.reading import read
from planner.control import Unhurried
from planner.plan import RunPlan
from planner.slips.document import Cell, Lever
from planner.slips.levers import Idea, try_lever
from planner.slips.slip import Kind
from planner.slips.study import Asked, Study
from worker.parents import die_with_parent

Answer = TypeVar("Answer")
AT_ONCE = 2
"""Questions a request has waiting for each core, so that others get their turn in between."""

_pool: ProcessPoolExecutor | None = None
_starter = ThreadPoolExecutor(1, "fanout")  # a process ends with the thread that started it
_lock = threading.Lock()


def cores() -> int:
    """Cores this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def pool() -> ProcessPoolExecutor:
    """The processes, started when first asked for."""
    global _pool
    with _lock:
        if _pool is None:
            _pool = ProcessPoolExecutor(cores(), get_context("spawn"), die_with_parent)
            atexit.register(_pool.shutdown, wait=False, cancel_futures=True)
        return _pool


def restart() -> None:
    """Forget the processes: one of them died."""
    global _pool
    with _lock:
        _pool = None


async def spread(ask: Callable[..., Answer], questions: Iterable[tuple[Any, ...]]) -> AsyncIterator[Answer]:
    """Answers as they come. What has not begun when the caller goes away is not begun any more."""
    waiting = iter(questions)
    running: set[asyncio.Future[Answer]] = set()
    behind: list[Future[Answer]] = []

    async def more() -> None:
        while len(running) < AT_ONCE * cores() and (question := next(waiting, None)) is not None:
            task = await asyncio.wrap_future(_starter.submit(pool().submit, ask, *question))
            behind.append(task)
            running.add(asyncio.wrap_future(task))

    try:
        await more()
        while running:
            done, pending = await asyncio.wait(running, return_when=asyncio.FIRST_COMPLETED)
            running = set(pending)
            for answer in done:
                yield answer.result()
            await more()
    finally:
        for task in behind:
            task.cancel()


@lru_cache(maxsize=4)
def _documents(_digest: str, campaign: str, plan: str) -> tuple[Campaign, RunPlan]:
    return read(json.loads(campaign)), RunPlan.model_validate_json(plan)


@lru_cache(maxsize=4)
def _study(digest: str, campaign: str, plan: str, rounds: int) -> Study:
    return Study(*_documents(digest, campaign, plan), rounds)


def digest_of(campaign: str, plan: str) -> str:
    """Names the pair of documents."""
    return hashlib.sha256(campaign.encode() + b"\n" + plan.encode()).hexdigest()


def ask_cell(campaign: str, plan: str, rounds: int, asked: Asked) -> Cell:
    """One cell of the slip table, in one of the processes."""
    return _study(digest_of(campaign, plan), campaign, plan, rounds).cell(asked)


def ask_row(campaign: str, plan: str, rounds: int, kind: Kind, name: str, cells: list[Cell]) -> Any:
    """A row of the slip table once its cells are there."""
    return _study(digest_of(campaign, plan), campaign, plan, rounds).row(kind, name, cells)


def ask_lever(campaign: str, plan: str, idea: Idea, tier: str | None) -> Lever | None:
    """One lever tried, in one of the processes."""
    return try_lever(*_documents(digest_of(campaign, plan), campaign, plan), idea, Unhurried(), tier)

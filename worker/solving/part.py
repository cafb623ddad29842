"""Work on one part of a study from claim to answer, as `job` on a plan: a thread thinks, the main thread listens."""

import json
import logging
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field

from sqlalchemy.exc import DBAPIError

from planner.control import Control
from planner.errors import AuditFailed, PlannerError, Problem
from planner.studies.parts import Answer, Subject, Work
from worker.records import parts
from worker.records.database import Database
from worker.records.parts import PartClaim
from worker.settings import Settings
from worker.solving.control import WatchedControl
from worker.solving.job import LOOK, TICK, Overran, as_json

log = logging.getLogger(__name__)

Answerer = Callable[[Work, Control], Answer]
LONGEST = 900.0
"""Seconds a part may take; studies are cut so that one takes seconds."""


@dataclass
class Answering:
    """What the thread came to."""

    done: threading.Event = field(default_factory=threading.Event)
    answer: Answer | None = None
    error: BaseException | None = None


def work_on_part(database: Database, settings: Settings, part_id: str, worker: str, answerer: Answerer) -> None:
    """Claim the part and answer it. Does nothing if there is nothing to claim.

    Raises Overran, after failing the study, when the thread has to be ended by force.
    """
    with database.write() as connection:
        mine = parts.claim(connection, part_id, worker, time.time(), settings.lease, settings.attempts)
    if mine is None:
        return
    log.info("part", extra={"study": mine.study_id, "part": mine.number, "request": mine.request_id})
    control = WatchedControl(LONGEST, settings.cores)
    control.leave_to_rounds()  # so that a study is the same on any machine
    thinking = Answering()
    work = Work(mine.kind, Subject(mine.campaign, mine.plan), mine.question, mine.ask, mine.given)
    thread = threading.Thread(
        target=_think, args=(work, control, answerer, thinking), name=f"part-{part_id}", daemon=True
    )
    thread.start()
    if _watch(database, settings, mine, control, thinking):
        _record(database, settings, mine, thinking)


def _think(work: Work, control: WatchedControl, answerer: Answerer, thinking: Answering) -> None:
    try:
        thinking.answer = answerer(work, control)
    except MemoryError:
        thinking.error = MemoryError()  # without its traceback, which would keep what took the memory
    except BaseException as error:
        thinking.error = error
    thinking.done.set()


def _watch(
    database: Database, settings: Settings, mine: PartClaim, control: WatchedControl, thinking: Answering
) -> bool:
    """Wait for the thread; False once the part is no longer mine and the thread has ended."""
    looked = renewed = time.monotonic()
    held = True
    # most parts are quick: the first waits are short
    wait = TICK / 20
    while not thinking.done.wait(wait):
        wait = min(TICK, wait * 2)
        now = time.monotonic()
        if control.overran(settings.overrun_grace):
            problem = Problem("", "a part took far too long and was ended by force", "ask for less at a time")
            with database.write() as connection:
                parts.fail(connection, mine, "overran", [as_json(problem)], time.time())
            raise Overran(mine.id)
        try:
            if held and now - looked >= LOOK:
                looked = now
                with database.read() as connection:
                    held, stop = parts.standing(connection, mine)
                if stop or not held:
                    control.ask_to_stop()
            if held and now - renewed >= settings.heartbeat:
                renewed = now
                with database.write() as connection:
                    parts.renew(connection, mine, time.time(), settings.lease)
        except DBAPIError as error:
            log.warning("cannot reach the records: %s", error.orig, extra={"study": mine.study_id})
    return held


def _record(database: Database, settings: Settings, mine: PartClaim, thinking: Answering) -> None:
    """Write the answer or the failure, trying again while the database is away."""
    until = time.monotonic() + max(settings.lease * 4, 60)
    while True:
        try:
            with database.write() as connection:
                answer = thinking.answer
                if answer is not None:
                    result = None if answer.result is None else json.dumps(answer.result)
                    parts.keep(connection, mine, answer.said, result, time.time())
                else:
                    because, problems = _reason(thinking.error, mine)
                    parts.fail(connection, mine, because, [as_json(p) for p in problems], time.time())
            return
        except DBAPIError as error:
            if time.monotonic() > until:
                raise
            log.warning("cannot reach the records: %s", error.orig, extra={"study": mine.study_id})
            time.sleep(0.5)


def _reason(error: BaseException | None, mine: PartClaim) -> tuple[str, list[Problem]]:
    match error:
        case AuditFailed():
            return "broken-rules", error.broken
        case PlannerError():
            return "infeasible", [Problem("", str(error))]
        case MemoryError():
            text = "a part needs more memory than one may use"
            return "too-large", [Problem("", text, "ask for less at a time")]
    log.error("fault in a study", exc_info=error, extra={"study": mine.study_id})
    text = "a part failed; this is our fault, not the campaign's"
    return "fault", [Problem("", text, "ask again; if it happens again, tell us with this study's id")]

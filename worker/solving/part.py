"""Work on one part of a study from claim to answer, as `job` on a plan: a thread thinks, the main thread listens."""

import json
import logging
import time
from collections.abc import Callable

from sqlalchemy import Connection

from planner.control import Control
from planner.errors import AuditFailed, PlannerError, Problem
from planner.studies.parts import Answer, Subject, Work
from worker.records import parts
from worker.records.database import Database
from worker.records.parts import PartClaim
from worker.settings import Settings
from worker.solving.control import WatchedControl
from worker.solving.job import as_json
from worker.solving.listening import Hold, Thought, listen, thinking, write_down

log = logging.getLogger(__name__)

Answerer = Callable[[Work, Control], Answer]
LONGEST = 900.0
"""Seconds a part may take; studies are cut so that one takes seconds."""


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
    work = Work(mine.kind, Subject(mine.campaign, mine.plan), mine.question, mine.ask, mine.given)
    hold = _hold(mine, settings)
    thought = thinking(hold.name, lambda: answerer(work, control))
    if listen(database, settings, hold, control, thought.done):
        write_down(database, settings, hold, lambda connection: _write(connection, mine, thought))


def _hold(mine: PartClaim, settings: Settings) -> Hold:
    overran = Problem("", "a part took far too long and was ended by force", "ask for less at a time")
    return Hold(
        name=f"part-{mine.id}",
        about={"study": mine.study_id},
        standing=lambda connection: parts.standing(connection, mine),
        renew=lambda connection: parts.renew(connection, mine, time.time(), settings.lease),
        give_up=lambda connection: parts.fail(connection, mine, "overran", [as_json(overran)], time.time()),
    )


def _write(connection: Connection, mine: PartClaim, thought: Thought[Answer]) -> bool:
    answer = thought.result
    if answer is not None:
        result = None if answer.result is None else json.dumps(answer.result)
        return parts.keep(connection, mine, answer.said, result, time.time())
    because, problems = _reason(thought.error, mine)
    return parts.fail(connection, mine, because, [as_json(p) for p in problems], time.time())


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

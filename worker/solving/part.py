"""A part of a study as a job: claimed, answered, kept or handed back."""

import json
import logging
import time
from collections.abc import Callable

from sqlalchemy import Connection

from planner.control import Control
from planner.errors import Problem
from planner.studies.parts import Answer, Subject, Work
from worker.leaving import STAYING, Leaving
from worker.records import parts
from worker.records.database import Database
from worker.records.parts import PartClaim
from worker.settings import Settings
from worker.solving.control import WatchedControl
from worker.solving.failures import Wording
from worker.solving.job import Job, work

log = logging.getLogger(__name__)

Answerer = Callable[[Work, Control], Answer]
LONGEST = 900.0
"""Seconds a part may take; studies are cut so that one takes seconds."""

WORDING = Wording(
    overran=Problem("", "a part took far too long and was ended by force", "ask for less at a time"),
    stopped=Problem("", "stopped before there was an answer", "ask again"),
    too_large=Problem("", "a part needs more memory than one may use", "ask for less at a time"),
    fault=Problem(
        "",
        "a part failed; this is our fault, not the campaign's",
        "ask again; if it happens again, tell us with this study's id",
    ),
)


def work_on_part(
    database: Database,
    settings: Settings,
    part_id: str,
    worker: str,
    answerer: Answerer,
    leaving: Leaving = STAYING,
) -> None:
    """Claim the part and answer it. Does nothing if there is nothing to claim.

    Raises Overran, after failing the study, when the thread has to be ended by force.
    """
    with database.write() as connection:
        beat = database.lease_clock.now(connection)
        mine = parts.claim(connection, part_id, worker, beat, settings.lease, settings.attempts, time.time())
    if mine is None:
        return
    log.info("part", extra={"study": mine.study_id, "part": mine.number, "request": mine.request_id})
    work(database, settings, job_of(mine, settings, answerer), leaving)


def job_of(mine: PartClaim, settings: Settings, answerer: Answerer) -> Job[Answer]:
    """The claimed part as a job."""
    control = WatchedControl(LONGEST, settings.cores)
    control.leave_to_rounds()  # so that a study is the same on any machine
    asked = Work(mine.kind, Subject(mine.campaign, mine.plan), mine.question, mine.ask, mine.given)
    return Job(
        name=f"part-{mine.fence.row_id}",
        about={"study": mine.study_id},
        fence=mine.fence,
        control=control,
        wording=WORDING,
        think=lambda: answerer(asked, control),
        standing=lambda connection: parts.standing(connection, mine),
        keep=lambda connection, answer, _seconds: _keep(connection, mine, answer),
        fail=lambda connection, because, problems: parts.fail(connection, mine, because, problems, time.time()),
        hand_back=lambda connection, _answer, _seconds: parts.hand_back(connection, mine),
    )


def _keep(connection: Connection, mine: PartClaim, answer: Answer) -> bool:
    result = None if answer.result is None else json.dumps(answer.result)
    return parts.keep(connection, mine, answer.said, result, time.time())

"""A part of a study as a job: claimed, answered, kept or handed back."""

import json
import time
from collections.abc import Callable

from sqlalchemy import Connection

from planner.control import Control
from planner.errors import Problem
from planner.studies.parts import Answer, Subject, Work
from worker.records import claiming, part_claims
from worker.records.part_claims import PARTS, PartClaim
from worker.settings import Settings
from worker.solving.control import WatchedControl
from worker.solving.failures import Wording
from worker.solving.job import Hands, Job, work_on

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


def work_on_part(hands: Hands, part_id: str, answerer: Answerer) -> None:
    """Claim the part and answer it; see `work_on`."""
    work_on(hands, PARTS, part_id, lambda mine: job_of(mine, hands.settings, answerer))


def job_of(mine: PartClaim, settings: Settings, answerer: Answerer) -> Job[Answer]:
    """The claimed part as a job."""
    control = WatchedControl(LONGEST, settings.cores)
    control.leave_to_rounds()  # so that a study is the same on any machine
    asked = Work(mine.kind, Subject(mine.campaign, mine.plan), mine.question, mine.ask, mine.given, control.tell)
    return Job(
        mine,
        control,
        WORDING,
        think=lambda: answerer(asked, control),
        keep=lambda connection, answer, _seconds: _keep(connection, mine, answer),
        hand_back=lambda connection, _answer, _seconds: claiming.hand_back(connection, mine),
        say=lambda connection, said: part_claims.say(connection, mine, said, time.time()),
    )


def _keep(connection: Connection, mine: PartClaim, answer: Answer) -> bool:
    result = None if answer.result is None else json.dumps(answer.result)
    return part_claims.keep(connection, mine, answer.said, result, time.time())

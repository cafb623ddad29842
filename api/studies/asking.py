"""Asking a question of a plan: written down as a study, worked out by the workers, waited for or watched."""

import time
from collections.abc import AsyncIterator
from typing import Any

from anyio import sleep, to_thread
from fastapi import Response
from sqlalchemy import Connection

from api.http.event_stream import LONGEST_LIFE
from api.http.idempotency import once
from api.http.problems import Conflict, Invalid, Unavailable
from api.http.requests import request_id
from api.plans.queued import PlanRequest
from api.service import Service
from api.services.finding import find_study
from api.services.made_plans import made_plan
from api.services.submitting import within_quota
from api.studies.schemas import answer_text, is_said, state
from planner.errors import CampaignProblems, Problem
from planner.studies.kinds import KINDS
from planner.studies.parts import Split, Subject
from worker.records import events, studies
from worker.records.events import Told
from worker.records.statuses import ENDINGS
from worker.records.studies import Question, StudyRow

NDJSON = "application/x-ndjson"
PATIENCE = 60.0
"""Seconds a plain question waits for its answer before it says where to look instead."""


async def ask(
    service: Service,
    workshop_id: str,
    plan_id: str,
    kind: str,
    question: dict[str, Any],
    idempotency: tuple[str | None, str, bytes] = (None, "", b""),
) -> Response:
    """202 and where to look. The same question about the same revision is worked out once, whoever asks again.

    idempotency: key, path and body of the request. Raises what `made_plan` raises; Invalid, TooMany.
    """

    def record() -> Response:
        with service.database.read() as connection:
            made = made_plan(connection, workshop_id, plan_id)
            wanted = Question(plan_id, made.row.revision, kind, question, made.row.queue, request_id.get())
            known = studies.alike(connection, workshop_id, wanted)
        split = None if known else _split(kind, Subject(made.campaign_text, made.plan_text), question)
        key, path, body = idempotency
        now = time.time()
        with service.database.write() as connection:

            def act() -> Response:
                made_plan(connection, workshop_id, plan_id)
                row = known or _submitted(connection, workshop_id, wanted, split, now)
                return accepted(row)

            return once(connection, workshop_id, key, (path, body), now, act)

    answer = await to_thread.run_sync(record)
    service.sender.nudge()
    return answer


async def ask_by(asked: PlanRequest, kind: str, question: dict[str, Any], body: bytes) -> Response:
    """Ask what a request asks, whose body is given."""
    key = (asked.key, asked.request.url.path, body)
    return await ask(asked.service, asked.workshop_id, asked.plan_id, kind, question, key)


def _split(kind: str, subject: Subject, question: dict[str, Any]) -> Split:
    try:
        return KINDS[kind].split(subject, question)
    except CampaignProblems as error:
        raise Invalid("The question does not fit the campaign.", error.problems[:100]) from None


def _submitted(connection: Connection, workshop_id: str, wanted: Question, split: Split | None, now: float) -> StudyRow:
    known = studies.alike(connection, workshop_id, wanted)  # somebody may have asked meanwhile
    if known is not None:
        return known
    assert split is not None
    with within_quota():
        study_id = studies.submit(connection, workshop_id, wanted, split, now)
    return find_study(connection, workshop_id, study_id)


def accepted(row: StudyRow, status: int = 202) -> Response:
    """Where the study stands and where to look."""
    headers = {"Location": f"/v1/studies/{row.id}", "Retry-After": "1", "Cache-Control": "no-cache"}
    return Response(state(row).model_dump_json(), status, headers, "application/json")


def study_id_in(answer: Response) -> str:
    """Which study an accepted question became."""
    return answer.headers["location"].rpartition("/")[2]


async def finished(service: Service, workshop_id: str, study_id: str, seconds: float) -> StudyRow | None:
    """The study once it is over; None if it is not within that time."""
    until = time.monotonic() + seconds

    def look() -> StudyRow:
        with service.database.read() as connection:
            return find_study(connection, workshop_id, study_id)

    pause = 0.05
    while True:
        row = await to_thread.run_sync(look)
        left = until - time.monotonic()
        if row.finished or left <= 0:
            return row if row.finished else None
        await sleep(min(pause, left))
        pause = min(pause * 1.3, 1.0)


def whole(service: Service, row: StudyRow) -> Response:
    """A study with all it said."""
    with service.database.read() as connection:
        told, more = [], events.after(connection, "study", row.id, 0)
        while more:
            told += more
            more = events.after(connection, "study", row.id, told[-1].number)
        text = answer_text(row, told, studies.result(connection, row.id))
    return Response(text, 200, {"Cache-Control": "no-cache"}, "application/json")


async def document(service: Service, workshop_id: str, study_id: str, seconds: float) -> str | None:
    """A study's document, waited for; None if it takes longer. Raises Unavailable or Conflict if there will be none."""
    row = await finished(service, workshop_id, study_id, seconds)
    if row is None:
        return None
    if row.status != "done":
        told = [Problem(p.pointer, p.message, p.remedy) for p in state(row).problems]
        if row.ended_because in {"fault", "lost", "overran"}:
            raise Unavailable("The workers could not answer this; ask again.", told)
        raise Conflict(f"There is no answer: {row.ended_because}.", told)

    def read() -> str | None:
        with service.database.read() as connection:
            return studies.result(connection, study_id)

    return await to_thread.run_sync(read)


async def lines(service: Service, study_id: str) -> AsyncIterator[str]:
    """All a study says, one JSON object a line as it comes; `fault` in the end where it did not end well."""
    seen = 0

    def look() -> list[Told]:
        with service.database.read() as connection:
            return events.after(connection, "study", study_id, seen)

    pause = 0.05
    ends = time.monotonic() + LONGEST_LIFE
    while time.monotonic() < ends:
        found = await to_thread.run_sync(look)
        for told in found:
            seen = told.number
            if is_said(told) or told.kind == "begun":
                yield f'{{"{told.kind}": {told.data}}}\n'
            elif told.kind in ENDINGS:
                if told.kind != "done":
                    said = "cancelled" if told.kind == "cancelled" else "the workers could not answer this; ask again"
                    yield f'{{"fault": {{"detail": "{said}; what came before stands."}}}}\n'
                return
        pause = 0.05 if found else min(pause * 1.3, 0.5)
        await sleep(pause)
    yield f'{{"fault": {{"detail": "not done yet; go on at /v1/studies/{study_id}/events"}}}}\n'

"""Asking a question of a plan: written down as a study, worked out by the workers, waited for or watched."""

import time
from collections.abc import AsyncIterator
from typing import Any

from anyio import sleep, to_thread
from fastapi import Response

from api.http.event_stream import LONGEST_LIFE
from api.http.idempotency import json_answer, response_of
from api.plans.queued import PlanRequest
from api.service import Service
from api.service.refusals import Conflict, Unavailable
from api.services import jobs, studies
from api.services.once import Answer, Once
from api.studies.schemas import answer_text, is_said, state
from planner.errors import Problem
from worker.records.statuses import ENDINGS
from worker.records.studies import StudyRow

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

    key, path, body = idempotency
    once = Once(workshop_id, key, (path, body), told)
    return response_of(await to_thread.run_sync(studies.ask, service, once, plan_id, kind, question))


async def ask_by(asked: PlanRequest, kind: str, question: dict[str, Any], body: bytes) -> Response:
    """Ask what a request asks, whose body is given."""
    key = (asked.key, asked.request.url.path, body)
    return await ask(asked.service, asked.workshop_id, asked.plan_id, kind, question, key)


def told(row: StudyRow) -> Answer:
    """202: where the study stands and where to look."""
    headers = {"Location": f"/v1/studies/{row.id}", "Retry-After": "1", "Cache-Control": "no-cache"}
    return json_answer(state(row).model_dump_json(), 202, headers)


def study_id_in(answer: Response) -> str:
    """Which study an accepted question became."""
    return answer.headers["location"].rpartition("/")[2]


async def finished(service: Service, workshop_id: str, study_id: str, seconds: float) -> StudyRow | None:
    """The study once it is over; None if it is not within that time."""
    until = time.monotonic() + seconds

    pause = 0.05
    while True:
        row = await to_thread.run_sync(jobs.standing, service, workshop_id, jobs.STUDY, study_id)
        left = until - time.monotonic()
        if row.finished or left <= 0:
            return row if row.finished else None
        await sleep(min(pause, left))
        pause = min(pause * 1.3, 1.0)


def whole(service: Service, row: StudyRow) -> Response:
    """A study with all it said."""
    text = answer_text(row, *studies.all_said(service, row.id))
    return Response(text, 200, {"Cache-Control": "no-cache"}, "application/json")


async def document(service: Service, workshop_id: str, study_id: str, seconds: float) -> str | None:
    """A study's document, waited for; None if it takes longer. Raises Unavailable or Conflict if there will be none."""
    row = await finished(service, workshop_id, study_id, seconds)
    if row is None:
        return None
    if row.status != "done":
        problems = [Problem(p.pointer, p.message, p.remedy) for p in state(row).problems]
        if row.ended_because in {"fault", "lost", "overran"}:
            raise Unavailable("The workers could not answer this; ask again.", problems)
        raise Conflict(f"There is no answer: {row.ended_because}.", problems)

    return await to_thread.run_sync(studies.document, service, study_id)


async def lines(service: Service, study_id: str) -> AsyncIterator[str]:
    """All a study says, one JSON object a line as it comes; `fault` in the end where it did not end well."""
    seen = 0

    pause = 0.05
    ends = time.monotonic() + LONGEST_LIFE
    while time.monotonic() < ends:
        found = await to_thread.run_sync(jobs.said_after, service, jobs.STUDY, study_id, seen)
        for event in found:
            seen = event.number
            if is_said(event) or event.kind == "begun":
                yield f'{{"{event.kind}": {event.data}}}\n'
            elif event.kind in ENDINGS:
                if event.kind != "done":
                    said = "cancelled" if event.kind == "cancelled" else "the workers could not answer this; ask again"
                    yield f'{{"fault": {{"detail": "{said}; what came before stands."}}}}\n'
                return
        pause = 0.05 if found else min(pause * 1.3, 0.5)
        await sleep(pause)
    yield f'{{"fault": {{"detail": "not done yet; go on at /v1/studies/{study_id}/events"}}}}\n'

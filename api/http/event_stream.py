"""Server-sent events from the records: numbered, resumable by Last-Event-ID, with a sign of life in silence."""

import json
import time
from collections.abc import AsyncIterator, Callable
from dataclasses import dataclass
from typing import Annotated, Any, Protocol

from anyio import sleep, to_thread
from fastapi import Header, Response
from fastapi.responses import StreamingResponse

from api.http.moments import moment
from api.service import Service
from api.services import jobs
from api.services.jobs import Kind, Row
from worker.records.events import EventRow
from worker.records.statuses import ENDINGS

LONGEST_LIFE = 600.0
"""Seconds after which a stream ends; the client comes back with Last-Event-ID and misses nothing."""
LOOK = 0.4
"""Seconds between two looks into the records."""
STILL_HERE = 10.0
"""Seconds of silence after which a comment is sent, so that nobody between takes the line for dead."""

LastEventId = Annotated[str | None, Header(pattern="^[0-9]{0,9}$", description="the last event's id you have seen")]


@dataclass(frozen=True)
class Happening:
    """One event. at: seconds since 1970, UTC. last: nothing follows for now."""

    number: int
    kind: str
    data: dict[str, Any]
    at: float
    last: bool


def happening(told: EventRow) -> Happening:
    """An event of the records. What a part of a study said stands in the member `said`."""
    data = json.loads(told.data)
    own = data if told.part is None else {"said": data}
    return Happening(told.number, told.kind, own, told.at, told.part is None and told.kind in ENDINGS)


class Watched(Protocol):
    """A row of what has events. last_event: the number of its newest."""

    @property
    def finished(self) -> bool: ...
    @property
    def last_event(self) -> int: ...


def event_stream(row: Watched, look: Callable[[int], list[Happening]], last_event_id: str | None) -> Response:
    """What follows the last event seen; 204 where all is over and seen. look: what follows a number, oldest first."""
    seen = int(last_event_id or 0)
    if row.finished and seen >= row.last_event:
        return Response(status_code=204)
    headers = {"Cache-Control": "no-store", "X-Accel-Buffering": "no"}
    return StreamingResponse(_stream(look, seen), media_type="text/event-stream", headers=headers)


def watched(service: Service, workshop_id: str, kind: Kind[Row], job_id: str, last_event_id: str | None) -> Response:
    """The events of a plan or a study of the workshop, as they come. Raises NotFound."""
    row = jobs.standing(service, workshop_id, kind, job_id)

    def look(after: int) -> list[Happening]:
        return [happening(told) for told in jobs.said_after(service, kind, job_id, after)]

    return event_stream(row, look, last_event_id)


async def _stream(look: Callable[[int], list[Happening]], seen: int) -> AsyncIterator[str]:
    ends = time.monotonic() + LONGEST_LIFE
    spoke = time.monotonic()
    yield "retry: 1000\n\n"

    def written(after: int) -> list[tuple[Happening, str]]:
        return [(event, _written(event)) for event in look(after)]

    while time.monotonic() < ends:
        for event, text in await to_thread.run_sync(written, seen):
            yield text
            seen, spoke = event.number, time.monotonic()
            if event.last and not await to_thread.run_sync(look, seen):
                return
        if time.monotonic() - spoke > STILL_HERE:
            spoke = time.monotonic()
            yield ": still here\n\n"
        await sleep(LOOK)


def _written(event: Happening) -> str:
    data = {"at": moment(event.at).isoformat(), **event.data}
    return f"id: {event.number}\nevent: {event.kind}\ndata: {json.dumps(data)}\n\n"

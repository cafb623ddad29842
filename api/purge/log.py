"""/v1/purge/log: real colour changes of the workshop, as they were written down at the press."""

import hashlib
from functools import partial
from typing import Annotated

from anyio import to_thread
from fastapi import APIRouter, Header, Path, Request, Response
from pydantic import Field

from api.http.access import REFUSALS, Reader, Submitter
from api.http.bodies import BODY_REFUSALS, fitting, read_json
from api.http.idempotency import IdempotencyKey, json_answer, response_of
from api.http.problems import answers
from api.plans.cursors import PageAsked
from api.purge.log_entry import LogEntrySaid, said_of
from api.purge.schemas import PurgeAnswer
from api.service import TheService
from api.service.refusals import BadRequest, Changed, Invalid, NotFound, PreconditionRequired, TooMany
from api.services import purge_log
from api.services.once import Answer, Once
from planner.campaign.base import Amount, Count, Document, Positive
from planner.campaign.purging import PurgeLogged
from worker.records.ids import PATTERN
from worker.records.purge_log import EntryRow

router = APIRouter(prefix="/v1/purge/log", tags=["purge"], responses=answers(*REFUSALS))
EXAMPLE = {"press": "twin", "barrel": 1, "from": "pp/slate", "to": "pp/sage", "shots": 21, "tool": "shell"}


class LogPage(PurgeAnswer):
    """Entries, newest first. next: where the following page is; null: this was the last."""

    entries: list[LogEntrySaid]
    next: str | None


class PurgeCorrection(Document):
    """What can be put right in an entry; what is left out stays (JSON Merge Patch, RFC 7396)."""

    kg: Amount | None = None
    shots: Count | None = None
    shot_g: Positive | None = None
    clean: bool = True
    compound: bool = False
    confirmed: bool = Field(default=False, description="true: looked at again and right, however far out it is")


def _body(model: type[Document], example: dict[str, object]) -> dict[str, object]:
    schema = {"$ref": f"#/components/schemas/{model.__name__}"}
    return {"requestBody": {"required": True, "content": {"application/json": {"schema": schema, "example": example}}}}


@router.post(
    "",
    status_code=201,
    response_model=LogEntrySaid,
    summary="Write a colour change down",
    openapi_extra=_body(PurgeLogged, EXAMPLE),
    responses=answers(*BODY_REFUSALS, TooMany),
)
async def write_down(
    request: Request, service: TheService, caller: Submitter, idempotency_key: IdempotencyKey = None
) -> Response:
    """Kept for good; plans take it in when asked to (`POST /v1/plans/{id}/purge-log`)."""
    body, parsed = await read_json(request, 10_000, service.settings.deepest_body)
    entry = await fitting(PurgeLogged, parsed)
    once = Once(caller.workshop_id, idempotency_key, (request.url.path, body), _written)
    return response_of(await to_thread.run_sync(purge_log.add, service, once, entry))


def _written(row: EntryRow) -> Answer:
    return _answer(row, 201)


@router.get(
    "",
    response_model=LogPage,
    operation_id="read_purge_log",
    summary="Read the purge log",
    responses=answers(BadRequest, Invalid),
)
def read_log(
    service: TheService,
    caller: Reader,
    asked: PageAsked,
) -> LogPage:
    """Newest first, flagged entries too, with the reason."""
    rows = purge_log.page(service, caller.workshop_id, asked.wanted, asked.before)
    shown, following = asked.shown(rows, "/v1/purge/log")
    return LogPage(entries=[said_of(row) for row in shown], next=following)


@router.patch(
    "/{entry_id}",
    response_model=LogEntrySaid,
    summary="Correct or confirm an entry",
    openapi_extra=_body(PurgeCorrection, {"confirmed": True}),
    responses=answers(*BODY_REFUSALS, NotFound, Changed, PreconditionRequired),
)
async def correct(
    entry_id: Annotated[str, Path(pattern=PATTERN)],
    request: Request,
    service: TheService,
    caller: Submitter,
    if_match: Annotated[str | None, Header(description="the entry's ETag as you last saw it")] = None,
) -> Response:
    """JSON Merge Patch (RFC 7396); needs If-Match, `*` for whatever it is now."""
    _, parsed = await read_json(request, 10_000, service.settings.deepest_body)
    correction = await fitting(PurgeCorrection, parsed)

    changes = {name: getattr(correction, name) for name in correction.model_fields_set}
    seen = partial(_seen, if_match)
    row = await to_thread.run_sync(purge_log.correct, service, caller.workshop_id, entry_id, changes, seen)
    return response_of(_answer(row))


def _seen(if_match: str | None, row: EntryRow) -> None:
    """Raises PreconditionRequired where nothing was sent, and Changed where the client saw another state."""
    if if_match is None:
        raise PreconditionRequired("Read the log, then send the entry's ETag as `If-Match`.")
    if if_match.strip() not in {"*", _etag(row)}:
        raise Changed("The entry is not as you saw it; read it again.", headers={"ETag": _etag(row)})


@router.get("/{entry_id}", response_model=LogEntrySaid, summary="Read one entry", responses=answers(NotFound))
def read_entry(entry_id: Annotated[str, Path(pattern=PATTERN)], service: TheService, caller: Reader) -> Response:
    """With the ETag that a correction needs."""
    return response_of(_answer(purge_log.entry(service, caller.workshop_id, entry_id)))


def _answer(row: EntryRow, status: int = 200) -> Answer:
    headers = {"ETag": _etag(row), "Cache-Control": "no-cache", "Location": f"/v1/purge/log/{row.id}"}
    return json_answer(said_of(row).model_dump_json(by_alias=True), status, headers)


def _etag(row: EntryRow) -> str:
    return f'"{hashlib.sha256(row.entry.encode()).hexdigest()[:16]}"'

"""/v1/plans/{id}/actuals: what happened on the floor, as it happens."""

from typing import Annotated, Any

from anyio import to_thread
from fastapi import APIRouter, Path, Request, Response
from pydantic import BaseModel, Field, ValidationError

from api.actuals import csv_log
from api.http.access import REFUSALS, Logger, Reader, Submitter
from api.http.bodies import BODY_REFUSALS, json_body, read_bounded, read_json
from api.http.idempotency import IdempotencyKey, json_answer, response_of
from api.http.moments import moment
from api.http.problems import answers
from api.plans.parameters import PlanId
from api.service import TheService
from api.service.refusals import Conflict, Invalid, NotFound, NotWellFormed, TooMany
from api.services import floor_log
from api.services.floor_log import MOST_TOLD, NewEntries
from api.services.once import Answer, Once
from planner.actuals.entries import KINDS, AnyEntry
from planner.errors import Problem
from planner.reading import problems_in
from worker.records.floor_log import LoggedEntry
from worker.records.ids import PATTERN

router = APIRouter(prefix="/v1/plans", tags=["the floor"], responses=answers(*REFUSALS))
EntryId = Annotated[str, Path(pattern=PATTERN)]


class FloorLog(BaseModel):
    """Entries to be added."""

    model_config = {"extra": "forbid"}
    entries: list[AnyEntry] = Field(min_length=1, max_length=10_000)


class LoggedState(BaseModel):
    """One entry as it was sent."""

    id: str
    number: int
    sent_at: str
    entry: dict[str, Any]


class LogState(BaseModel):
    """A plan's log, in the order it was sent."""

    entries: list[LoggedState]


_BODY = json_body(FloorLog)
_BODY["requestBody"]["content"]["text/csv"] = {
    "schema": {"type": "string", "description": (csv_log.__doc__ or "").strip()}
}


@router.post(
    "/{plan_id}/actuals",
    status_code=201,
    response_model=LogState,
    summary="Log what happened",
    openapi_extra=_BODY,
    responses=answers(NotFound, Conflict, TooMany, *BODY_REFUSALS),
)
async def log(
    plan_id: PlanId, request: Request, service: TheService, caller: Logger, idempotency_key: IdempotencyKey = None
) -> Response:
    """Shots, good parts, purges, downtime, deliveries, packed parcels, news of tools: JSON, or CSV with a heading line.

    All entries are taken, or none: then every one that does not fit is named, with its line."""
    settings = service.settings
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind == "text/csv":
        body = await read_bounded(request, settings.largest_body_bytes)
        given, places = await to_thread.run_sync(_from_csv, body)
    else:
        body, parsed = await read_json(request, settings.largest_body_bytes, settings.deepest_body)
        given, places = await to_thread.run_sync(_from_json, parsed)

    once = Once(caller.workshop_id, idempotency_key, (request.url.path, body), _told)

    def act() -> Answer:
        return floor_log.add(service, once, plan_id, _validated(given, places))

    return response_of(await to_thread.run_sync(act))


def _from_csv(body: bytes) -> tuple[list[Any], list[str]]:
    try:
        text = body.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise NotWellFormed("The file is not UTF-8; save it as CSV UTF-8.") from None
    found, problems = csv_log.rows(text)
    if problems:
        raise Invalid("Nothing was logged: some lines cannot be read.", problems[:MOST_TOLD])
    if not found:
        raise Invalid("There is no entry in it.", [Problem("line 2", "the file ends after the headings")])
    return [entry for _, entry in found], [f"line {line}: " for line, _ in found]


def _from_json(parsed: Any) -> tuple[list[Any], list[str]]:
    entries = parsed.get("entries") if isinstance(parsed, dict) else None
    if not isinstance(entries, list) or not entries or len(entries) > 10_000 or set(parsed) != {"entries"}:
        raise Invalid(
            "The document does not fit.",
            [Problem("/entries", "a list of 1 to 10000 entries is asked for", 'send {"entries": [ ... ]}')],
        )
    return entries, [""] * len(entries)


def _validated(given: list[Any], places: list[str]) -> NewEntries:
    made: list[AnyEntry] = []
    problems: list[Problem] = []
    for n, entry in enumerate(given):
        kind = KINDS.get(str(entry.get("what"))) if isinstance(entry, dict) else None
        if kind is None:
            told = f"{places[n]}`what` is none of {', '.join(KINDS)}"
            problems.append(Problem(f"/entries/{n}/what", told, "say what happened by one of these words"))
            continue
        try:
            made.append(kind.model_validate(entry))
        except ValidationError as error:
            problems += [
                Problem(f"/entries/{n}{p.pointer}", places[n] + p.message, p.remedy) for p in problems_in(error, entry)
            ]
    return NewEntries(made, places, problems)


def _told(added: list[LoggedEntry]) -> Answer:
    return json_answer(_state(added).model_dump_json(), 201)


def _state(entries: list[LoggedEntry]) -> LogState:
    return LogState(
        entries=[
            LoggedState(id=e.id, number=e.number, sent_at=moment(e.created_at).isoformat(), entry=e.entry)
            for e in entries
        ]
    )


@router.get("/{plan_id}/actuals", response_model=LogState, summary="Read the log", responses=answers(NotFound, Invalid))
def read_log(plan_id: PlanId, service: TheService, caller: Reader) -> LogState:
    """In the order it was sent."""
    return _state(floor_log.entries(service, caller.workshop_id, plan_id))


@router.delete(
    "/{plan_id}/actuals/{entry_id}",
    status_code=204,
    summary="Strike an entry",
    responses=answers(NotFound, Invalid),
)
def strike(plan_id: PlanId, entry_id: EntryId, service: TheService, caller: Submitter) -> Response:
    """Takes out an entry that was a mistake."""
    floor_log.strike(service, caller.workshop_id, plan_id, entry_id)
    return Response(status_code=204)

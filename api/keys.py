"""/v1/keys: the access keys of the caller's workshop."""

import time
from datetime import datetime
from typing import Annotated, Literal

from anyio import to_thread
from fastapi import APIRouter, Path, Request, Response
from pydantic import BaseModel, Field
from sqlalchemy import Connection

from api.http.access import REFUSALS, Admin
from api.http.bodies import BODY_REFUSALS, fitting, json_body, read_json
from api.http.idempotency import IdempotencyKey
from api.http.problems import BadRequest, Conflict, Invalid, NotFound, answers
from api.http.shown_once import made_with_secret
from api.moments import moment
from api.service import TheService
from worker.records import keys
from worker.records.ids import PATTERN
from worker.records.keys import KeyRow

router = APIRouter(prefix="/v1/keys", tags=["keys"], responses=answers(*REFUSALS))


class KeyWish(BaseModel):
    """A key to be made."""

    model_config = {"extra": "forbid"}
    label: str = Field(min_length=1, max_length=200, description="whose it is or what for")
    scopes: list[Literal["read", "plan", "admin"]] = Field(min_length=1, max_length=3)
    days: Annotated[int, Field(ge=1, le=3650)] | None = Field(
        default=keys.LASTS_DAYS, description="it opens something for so long; null: without end"
    )


class KeyState(BaseModel):
    """A key without its secret."""

    id: str
    label: str
    scopes: list[str]
    created_at: datetime
    revoked_at: datetime | None
    ends_at: datetime | None = Field(description="it opens nothing from then on; null: it has no end")


class NewKey(KeyState):
    """key: its whole text, shown this once and never again (null in a repeated answer)."""

    key: str | None


class KeyList(BaseModel):
    """Oldest first, revoked ones too."""

    keys: list[KeyState]


@router.post(
    "",
    status_code=201,
    response_model=NewKey,
    summary="Make a key",
    openapi_extra=json_body(KeyWish),
    responses=answers(*BODY_REFUSALS),
)
async def make_key(
    request: Request, service: TheService, caller: Admin, idempotency_key: IdempotencyKey = None
) -> Response:
    """Opens this workshop, as far as its scopes go."""
    body, parsed = await read_json(request, 10_000, service.settings.deepest_body)
    wish = await fitting(KeyWish, parsed)

    def make(connection: Connection, now: float) -> tuple[KeyState, str]:
        scopes = tuple(sorted(set(wish.scopes)))
        key_id, text = keys.make(connection, caller.workshop_id, wish.label, scopes, now, wish.days)
        ends = None if wish.days is None else now + wish.days * 86400.0
        return _state(KeyRow(key_id, "", wish.label, scopes, now, None, ends)), text

    asked = (request.url.path, body)
    return await to_thread.run_sync(made_with_secret, service, caller.workshop_id, idempotency_key, asked, "key", make)


@router.post(
    "/{key_id}/rotate",
    status_code=201,
    response_model=NewKey,
    summary="Replace a key",
    responses=answers(NotFound, Invalid, BadRequest, Conflict),
)
def rotate_key(
    key_id: Annotated[str, Path(pattern=PATTERN)],
    request: Request,
    service: TheService,
    caller: Admin,
    idempotency_key: IdempotencyKey = None,
) -> Response:
    """A new key with the label, scopes and length of life of this one, which goes on for a day and then ends."""

    def rotate(connection: Connection, now: float) -> tuple[KeyState, str]:
        made = keys.rotate(connection, key_id, now, caller.workshop_id)
        if made is None:
            raise NotFound("This workshop has no such key, or it opens nothing any more.")
        return _state(made[0]), made[1]

    asked = (request.url.path, b"")
    return made_with_secret(service, caller.workshop_id, idempotency_key, asked, "key", rotate)


@router.get("", response_model=KeyList, summary="List keys")
def list_keys(service: TheService, caller: Admin) -> KeyList:
    """Without their secrets, which nobody has any more."""
    with service.database.read() as connection:
        return KeyList(keys=[_state(row) for row in keys.list_keys(connection, caller.workshop_id)])


@router.delete("/{key_id}", status_code=204, summary="Revoke a key", responses=answers(NotFound, Invalid))
def revoke_key(key_id: Annotated[str, Path(pattern=PATTERN)], service: TheService, caller: Admin) -> Response:
    """From the next request on it opens nothing. Revoking twice is revoking once."""
    with service.database.write() as connection:
        if not keys.revoke(connection, key_id, time.time(), caller.workshop_id):
            raise NotFound("This workshop has no such key.")
    return Response(status_code=204)


def _state(row: KeyRow) -> KeyState:
    return KeyState(
        id=row.id,
        label=row.label,
        scopes=list(row.scopes),
        created_at=moment(row.created_at),
        revoked_at=None if row.revoked_at is None else moment(row.revoked_at),
        ends_at=None if row.ends_at is None else moment(row.ends_at),
    )

"""/v1/keys: the access keys of the caller's workshop."""

from datetime import datetime
from typing import Annotated, Literal

from anyio import to_thread
from fastapi import APIRouter, Path, Request, Response
from pydantic import BaseModel, Field

from api.http.access import REFUSALS, Admin
from api.http.bodies import BODY_REFUSALS, fitting, json_body, read_json
from api.http.idempotency import IdempotencyKey
from api.http.moments import moment
from api.http.problems import answers
from api.http.shown_once import ShownOnce
from api.service import TheService
from api.service.refusals import BadRequest, Conflict, Invalid, NotFound
from api.services import keys
from worker.records.ids import PATTERN
from worker.records.keys import LASTS_DAYS, KeyRow

router = APIRouter(prefix="/v1/keys", tags=["keys"], responses=answers(*REFUSALS))


class KeyWish(BaseModel):
    """A key to be made."""

    model_config = {"extra": "forbid"}
    label: str = Field(min_length=1, max_length=200, description="whose it is or what for")
    scopes: list[Literal["read", "plan", "admin"]] = Field(min_length=1, max_length=3)
    days: Annotated[int, Field(ge=1, le=3650)] | None = Field(
        default=LASTS_DAYS, description="it opens something for so long; null: without end"
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
    shown = ShownOnce("key")
    once = shown.once(caller.workshop_id, idempotency_key, (request.url.path, body), _said)
    made = await to_thread.run_sync(keys.make, service, once, wish.label, wish.scopes, wish.days)
    return shown.response(made)


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
    shown = ShownOnce("key")
    once = shown.once(caller.workshop_id, idempotency_key, (request.url.path, b""), _said)
    return shown.response(keys.rotate(service, once, key_id))


@router.get("", response_model=KeyList, summary="List keys")
def list_keys(service: TheService, caller: Admin) -> KeyList:
    """Without their secrets, which nobody has any more."""
    return KeyList(keys=[_state(row) for row in keys.all_of(service, caller.workshop_id)])


@router.delete("/{key_id}", status_code=204, summary="Revoke a key", responses=answers(NotFound, Invalid))
def revoke_key(key_id: Annotated[str, Path(pattern=PATTERN)], service: TheService, caller: Admin) -> Response:
    """From the next request on it opens nothing. Revoking twice is revoking once."""
    keys.revoke(service, caller.workshop_id, key_id)
    return Response(status_code=204)


def _said(made: keys.NewKey) -> tuple[KeyState, str]:
    return _state(made.row), made.text


def _state(row: KeyRow) -> KeyState:
    return KeyState(
        id=row.id,
        label=row.label,
        scopes=list(row.scopes),
        created_at=moment(row.created_at),
        revoked_at=None if row.revoked_at is None else moment(row.revoked_at),
        ends_at=None if row.ends_at is None else moment(row.ends_at),
    )

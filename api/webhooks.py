"""/v1/webhooks: where to tell a workshop's programs that a plan ended.

Messages are CloudEvents 1.0 in structured JSON, signed by Standard Webhooks 1.0, tried again for three days.
"""

from datetime import datetime
from typing import Annotated

from anyio import to_thread
from fastapi import APIRouter, Path, Request, Response
from pydantic import BaseModel, Field
from sqlalchemy import Connection

from api.http.access import REFUSALS, Admin
from api.http.bodies import BODY_REFUSALS, fitting, json_body, read_json
from api.http.idempotency import IdempotencyKey
from api.http.problems import Conflict, Invalid, NotFound, answers
from api.http.shown_once import made_with_secret
from api.moments import moment
from api.service import TheService
from planner.errors import Problem
from worker.records import webhook_outbox
from worker.records.ids import PATTERN
from worker.records.webhook_outbox import WebhookRow
from worker.webhooks import secrets
from worker.webhooks.addresses import Forbidden, look_up

router = APIRouter(prefix="/v1/webhooks", tags=["webhooks"], responses=answers(*REFUSALS))
_MOST = 20


class WebhookWish(BaseModel):
    """A webhook to be added."""

    model_config = {"extra": "forbid"}
    url: str = Field(min_length=8, max_length=2000, pattern=r"^https?://[!-~]+$")


class WebhookState(BaseModel):
    """A webhook without its secret."""

    id: str
    url: str
    created_at: datetime
    outcome: str | None = Field(description="what came of the last try; null: nothing was sent yet")
    told_at: datetime | None = Field(description="when that was")
    rests_until: datetime | None = Field(description="nobody answered: nothing is sent before; null: it does not rest")


class NewWebhook(WebhookState):
    """secret: what messages are signed with, shown this once (null in a repeated answer)."""

    secret: str | None


class WebhookList(BaseModel):
    """Oldest first."""

    webhooks: list[WebhookState]


@router.post(
    "",
    status_code=201,
    response_model=NewWebhook,
    summary="Add a webhook",
    openapi_extra=json_body(WebhookWish),
    responses=answers(*BODY_REFUSALS, Conflict),
)
async def add_webhook(
    request: Request, service: TheService, caller: Admin, idempotency_key: IdempotencyKey = None
) -> Response:
    """From now on the URL is told of every plan that is done, failed or cancelled."""
    body, parsed = await read_json(request, 10_000, service.settings.deepest_body)
    wish = await fitting(WebhookWish, parsed)

    def check() -> None:
        try:
            look_up(wish.url, service.settings.allow_private_webhooks)
        except Forbidden as error:
            problem = Problem("/url", f"this URL cannot be told anything: {error}", "give a URL others can reach too")
            raise Invalid("The webhook was not added.", [problem]) from None

    def add(connection: Connection, now: float) -> tuple[WebhookState, str]:
        if len(webhook_outbox.list_webhooks(connection, caller.workshop_id)) >= _MOST:
            raise Conflict(f"A workshop has at most {_MOST} webhooks; delete one first.")
        webhook_id = webhook_outbox.add_webhook(connection, caller.workshop_id, wish.url, secrets.mark(key), now)
        secret = secrets.derived(key, webhook_id)
        return _state(WebhookRow(webhook_id, wish.url, now, None, None, None)), secret

    key = await to_thread.run_sync(secrets.key_of, service.settings)
    await to_thread.run_sync(check)  # asks the name's servers, so outside of any transaction
    asked = (request.url.path, body)
    return await to_thread.run_sync(
        made_with_secret, service, caller.workshop_id, idempotency_key, asked, "secret", add
    )


@router.get("", response_model=WebhookList, summary="List webhooks")
def list_webhooks(service: TheService, caller: Admin) -> WebhookList:
    """Without their secrets."""
    with service.database.read() as connection:
        rows = webhook_outbox.list_webhooks(connection, caller.workshop_id)
    return WebhookList(webhooks=[_state(row) for row in rows])


def _state(row: WebhookRow) -> WebhookState:
    told, rests = (None if at is None else moment(at) for at in (row.told_at, row.rests_until))
    return WebhookState(
        id=row.id, url=row.url, created_at=moment(row.created_at), outcome=row.outcome, told_at=told, rests_until=rests
    )


@router.delete("/{webhook_id}", status_code=204, summary="Delete a webhook", responses=answers(NotFound, Invalid))
def delete_webhook(webhook_id: Annotated[str, Path(pattern=PATTERN)], service: TheService, caller: Admin) -> Response:
    """With everything still on its way to it."""
    with service.database.write() as connection:
        if not webhook_outbox.remove_webhook(connection, caller.workshop_id, webhook_id):
            raise NotFound("This workshop has no such webhook.")
    return Response(status_code=204)

"""/v1/webhooks: where to tell a workshop's programs that a plan ended.

Messages are CloudEvents 1.0 in structured JSON, signed by Standard Webhooks 1.0, tried again for three days.
"""

from datetime import datetime
from typing import Annotated

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
from api.service.refusals import Conflict, Invalid, NotFound
from api.services import webhooks
from worker.records.ids import PATTERN
from worker.records.webhook_outbox import WebhookRow

router = APIRouter(prefix="/v1/webhooks", tags=["webhooks"], responses=answers(*REFUSALS))


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
    shown = ShownOnce("secret")
    once = shown.once(caller.workshop_id, idempotency_key, (request.url.path, body), _said)
    return shown.response(await to_thread.run_sync(webhooks.add, service, once, wish.url))


@router.get("", response_model=WebhookList, summary="List webhooks")
def list_webhooks(service: TheService, caller: Admin) -> WebhookList:
    """Without their secrets."""
    return WebhookList(webhooks=[_state(row) for row in webhooks.all_of(service, caller.workshop_id)])


def _said(made: webhooks.NewWebhook) -> tuple[WebhookState, str]:
    return _state(made.row), made.secret


def _state(row: WebhookRow) -> WebhookState:
    told, rests = (None if at is None else moment(at) for at in (row.told_at, row.rests_until))
    return WebhookState(
        id=row.id, url=row.url, created_at=moment(row.created_at), outcome=row.outcome, told_at=told, rests_until=rests
    )


@router.delete("/{webhook_id}", status_code=204, summary="Delete a webhook", responses=answers(NotFound, Invalid))
def delete_webhook(webhook_id: Annotated[str, Path(pattern=PATTERN)], service: TheService, caller: Admin) -> Response:
    """With everything still on its way to it."""
    webhooks.remove(service, caller.workshop_id, webhook_id)
    return Response(status_code=204)

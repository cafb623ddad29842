"""What is to be told to a workshop's webhooks, kept until it is told.

When a message is due and a receiver may be told goes by the lease clock, which is `now` here but where a message is
written down; what is shown, and how old a message is, by the wall clock.
"""

import json
from dataclasses import dataclass
from typing import Any

from sqlalchemy import ColumnElement, Connection, and_, delete, func, insert, or_, select, update

from worker.records.ids import new_id
from worker.records.tables import OutboxMessage, Plan, Webhook


def announce(connection: Connection, plan_id: str, kind: str, data: dict[str, Any], now: float) -> None:
    """Write one delivery per webhook of the plan's workshop, in the same transaction as the news itself.

    The body is a CloudEvent (CloudEvents 1.0.2, structured JSON) without its time, which is the delivery's.
    """
    hooks = connection.execute(
        select(Webhook.id).join(Plan, Plan.workshop_id == Webhook.workshop_id).where(Plan.id == plan_id)
    ).scalars()
    for webhook_id in list(hooks):
        delivery_id = new_id()
        body = {
            "specversion": "1.0",
            "id": delivery_id,
            "source": f"/v1/plans/{plan_id}",
            "type": f"shot-to-ship.plan.{kind}",
            "datacontenttype": "application/json",
            "data": {"plan": plan_id, **data},
        }
        connection.execute(
            insert(OutboxMessage).values(
                id=delivery_id, webhook_id=webhook_id, body=json.dumps(body), tries=0, next_try_at=now, created_at=now
            )
        )


@dataclass(frozen=True)
class WebhookMessage:
    """A message on its way.

    secret: as the webhook's row keeps it (`worker.webhooks.secrets`). tries: this one included. failures: of its
    receiver in a row, before this try. busy_until: nobody else sends there before.
    """

    id: str
    webhook_id: str
    workshop_id: str
    url: str
    secret: str
    body: str
    tries: int
    failures: int
    busy_until: float


@dataclass(frozen=True)
class DueWebhook:
    """A webhook with a message due that may be told. since: when the first of its messages was due."""

    webhook_id: str
    workshop_id: str
    since: float


def _is_due(now: float) -> ColumnElement[bool]:
    """What was never tried is due whatever the clock was that it was written down by."""
    return and_(OutboxMessage.next_try_at.is_not(None), or_(OutboxMessage.tries == 0, OutboxMessage.next_try_at <= now))


def _may_be_told(now: float) -> ColumnElement[bool]:
    """It does not rest, and nothing is on its way there."""
    return and_(
        or_(Webhook.rests_until.is_(None), Webhook.rests_until <= now),
        or_(Webhook.busy_until.is_(None), Webhook.busy_until <= now),
    )


def due(connection: Connection, now: float) -> list[DueWebhook]:
    """Every webhook that something is due for and that may be told."""
    rows = connection.execute(
        select(Webhook.id, Webhook.workshop_id, func.min(OutboxMessage.next_try_at))
        .join(OutboxMessage, OutboxMessage.webhook_id == Webhook.id)
        .where(_is_due(now), _may_be_told(now))
        .group_by(Webhook.id, Webhook.workshop_id)
    )
    return [DueWebhook(webhook_id, workshop_id, since or 0.0) for webhook_id, workshop_id, since in rows]


def hold(connection: Connection, webhook_id: str, now: float) -> bool:
    """Whether the webhook may be told; if so nobody else takes a message for it before this transaction ends.

    To be asked before its messages are touched: whoever does otherwise waits for this one, and this one for them.
    """
    row = select(Webhook.id).where(Webhook.id == webhook_id, _may_be_told(now))
    # Not so firmly that who writes down another message for it would wait.
    return connection.execute(row.with_for_update(key_share=True)).one_or_none() is not None


def take(connection: Connection, webhook_id: str, now: float, seconds: float) -> WebhookMessage | None:
    """The message due longest of a webhook that is held, which is busy with it for as many seconds unless it is told
    before; None if nothing is due."""
    row = connection.execute(
        select(OutboxMessage.id, OutboxMessage.body, OutboxMessage.tries)
        .add_columns(Webhook.workshop_id, Webhook.url, Webhook.secret, Webhook.failures)
        .join(Webhook, Webhook.id == OutboxMessage.webhook_id)
        .where(OutboxMessage.webhook_id == webhook_id, _is_due(now))
        .order_by(OutboxMessage.next_try_at, OutboxMessage.id)
        .limit(1)
    ).one_or_none()
    if row is None:
        return None
    busy_until = now + seconds
    connection.execute(update(Webhook).where(Webhook.id == webhook_id).values(busy_until=busy_until))
    connection.execute(
        update(OutboxMessage).where(OutboxMessage.id == row.id).values(next_try_at=busy_until, tries=row.tries + 1)
    )
    return WebhookMessage(
        row.id, webhook_id, row.workshop_id, row.url, row.secret, row.body, row.tries + 1, row.failures, busy_until
    )


def tell(connection: Connection, delivery_id: str, outcome: str, again_at: float | None) -> None:
    """What came of the last try. again_at: due again then; None: it arrived, or was given up."""
    connection.execute(
        update(OutboxMessage).where(OutboxMessage.id == delivery_id).values(next_try_at=again_at, outcome=outcome)
    )


def tell_receiver(
    connection: Connection, message: WebhookMessage, outcome: str, now: float, rests_until: float | None
) -> None:
    """What came of the last try there. now: by the wall clock. rests_until: nobody answered, nothing more goes there
    before; None: it did.

    Others may send there again, unless the message was so late that somebody else does already.
    """
    failures = 0 if rests_until is None else Webhook.failures + 1
    connection.execute(
        update(Webhook)
        .where(Webhook.id == message.webhook_id)
        .values(outcome=outcome, told_at=now, failures=failures, rests_until=rests_until)
    )
    connection.execute(
        update(Webhook)
        .where(Webhook.id == message.webhook_id, Webhook.busy_until == message.busy_until)
        .values(busy_until=None)
    )


def give_up(connection: Connection, webhook_id: str, before: float) -> int:
    """Give up the webhook's messages made before that moment that nobody took; gives how many."""
    return connection.execute(
        update(OutboxMessage)
        .where(
            OutboxMessage.webhook_id == webhook_id,
            OutboxMessage.next_try_at.is_not(None),
            OutboxMessage.created_at < before,
        )
        .values(next_try_at=None, outcome="given up: nobody took it in time")
    ).rowcount


def add_webhook(connection: Connection, workshop_id: str, url: str, secret: str, now: float) -> str:
    """A new webhook; gives its id."""
    webhook_id = new_id()
    connection.execute(
        insert(Webhook).values(
            id=webhook_id, workshop_id=workshop_id, url=url, secret=secret, created_at=now, failures=0
        )
    )
    return webhook_id


def kept_secrets(connection: Connection) -> list[tuple[str, str]]:
    """(webhook, what its row keeps of its secret), of every workshop."""
    return [(row.id, row.secret) for row in connection.execute(select(Webhook.id, Webhook.secret))]


def keep_secret(connection: Connection, webhook_id: str, before: str, after: str) -> None:
    """Keep that of the webhook's secret instead, unless it is not `before` any more."""
    connection.execute(update(Webhook).where(Webhook.id == webhook_id, Webhook.secret == before).values(secret=after))


@dataclass(frozen=True)
class WebhookRow:
    """A webhook without its secret. outcome: what came of the last try, in words, and when that was.

    rests_until: nothing is sent before, since nobody answered.
    """

    id: str
    url: str
    created_at: float
    outcome: str | None
    told_at: float | None
    rests_until: float | None


def list_webhooks(connection: Connection, workshop_id: str) -> list[WebhookRow]:
    """The workshop's webhooks, oldest first."""
    rows = connection.execute(
        select(Webhook.id, Webhook.url, Webhook.created_at, Webhook.outcome, Webhook.told_at, Webhook.rests_until)
        .where(Webhook.workshop_id == workshop_id)
        .order_by(Webhook.created_at, Webhook.id)
    )
    return [WebhookRow(*row) for row in rows]


def remove_webhook(connection: Connection, workshop_id: str, webhook_id: str) -> bool:
    """Gone with everything still on its way to it; False if there was none."""
    gone = connection.execute(delete(Webhook).where(Webhook.workshop_id == workshop_id, Webhook.id == webhook_id))
    return gone.rowcount == 1

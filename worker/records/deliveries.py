"""What is to be told to a workshop's webhooks, kept until it is told."""

import json
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, delete, insert, select, update

from worker.records.ids import new_id
from worker.records.tables import Delivery, Plan, Webhook


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
            insert(Delivery).values(
                id=delivery_id, webhook_id=webhook_id, body=json.dumps(body), tries=0, next_try_at=now
            )
        )


@dataclass(frozen=True)
class Parcel:
    """A delivery in a courier's hands. tries: this one included."""

    id: str
    url: str
    secret: str
    body: str
    tries: int


def take_due(connection: Connection, now: float, until: float) -> Parcel | None:
    """The delivery due longest, not due again before `until`; None if nothing is due."""
    row = connection.execute(
        select(Delivery.id, Delivery.body, Delivery.tries, Delivery.next_try_at, Webhook.url, Webhook.secret)
        .join(Webhook, Webhook.id == Delivery.webhook_id)
        .where(Delivery.next_try_at <= now)
        .order_by(Delivery.next_try_at)
        .limit(1)
    ).one_or_none()
    if row is None:
        return None
    mine = connection.execute(
        update(Delivery)
        .where(Delivery.id == row.id, Delivery.next_try_at == row.next_try_at)
        .values(next_try_at=until, tries=row.tries + 1)
    ).rowcount
    return Parcel(row.id, row.url, row.secret, row.body, row.tries + 1) if mine else None


def try_again(connection: Connection, delivery_id: str, outcome: str, at: float) -> None:
    """It did not arrive; due again at `at`."""
    connection.execute(update(Delivery).where(Delivery.id == delivery_id).values(next_try_at=at, outcome=outcome))


def close(connection: Connection, delivery_id: str, outcome: str) -> None:
    """It arrived, or was given up."""
    connection.execute(update(Delivery).where(Delivery.id == delivery_id).values(next_try_at=None, outcome=outcome))


def add_webhook(connection: Connection, workshop_id: str, url: str, secret: str, now: float) -> str:
    """A new webhook; gives its id."""
    webhook_id = new_id()
    connection.execute(
        insert(Webhook).values(id=webhook_id, workshop_id=workshop_id, url=url, secret=secret, created_at=now)
    )
    return webhook_id


@dataclass(frozen=True)
class WebhookRow:
    """A webhook without its secret. outcome: what came of the newest delivery tried, in words."""

    id: str
    url: str
    created_at: float
    outcome: str | None


def list_webhooks(connection: Connection, workshop_id: str) -> list[WebhookRow]:
    """The workshop's webhooks, oldest first."""
    last = (
        select(Delivery.outcome)
        .where(Delivery.webhook_id == Webhook.id, Delivery.outcome.is_not(None))
        .order_by(Delivery.id.desc())
        .limit(1)
        .scalar_subquery()
    )
    rows = connection.execute(
        select(Webhook.id, Webhook.url, Webhook.created_at, last)
        .where(Webhook.workshop_id == workshop_id)
        .order_by(Webhook.created_at, Webhook.id)
    )
    return [WebhookRow(*row) for row in rows]


def remove_webhook(connection: Connection, workshop_id: str, webhook_id: str) -> bool:
    """Gone with everything still on its way to it; False if there was none."""
    gone = connection.execute(delete(Webhook).where(Webhook.workshop_id == workshop_id, Webhook.id == webhook_id))
    return gone.rowcount == 1

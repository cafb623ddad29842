"""What is to be told to a workshop's webhooks, kept until it is told."""

import json
from typing import Any

from sqlalchemy import Connection, insert, select

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

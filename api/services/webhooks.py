"""Where a workshop's programs are told that a plan ended: added, listed, deleted."""

from dataclasses import dataclass

from sqlalchemy import Connection

from api.service import Service
from api.service.refusals import Conflict, Invalid, NotFound
from api.services.once import Answer, Once
from planner.errors import Problem
from worker.records import webhook_outbox
from worker.records.webhook_outbox import WebhookRow
from worker.webhooks import secrets
from worker.webhooks.addresses import Forbidden, look_up

MOST = 20
"""Webhooks of a workshop."""


@dataclass(frozen=True)
class NewWebhook:
    """A webhook that was added. secret: what its messages are signed with."""

    row: WebhookRow
    secret: str


def add(service: Service, once: Once[NewWebhook], url: str) -> Answer:
    """From now on the URL is told. Raises Invalid for one nothing may be sent to, and Conflict beyond so many."""
    key = secrets.key_of(service.settings)
    _checked(url, service.settings.allow_private_webhooks)  # asks the name's servers, so outside of any transaction

    def act(connection: Connection, now: float) -> NewWebhook:
        if len(webhook_outbox.list_webhooks(connection, once.workshop_id)) >= MOST:
            raise Conflict(f"A workshop has at most {MOST} webhooks; delete one first.")
        webhook_id = webhook_outbox.add_webhook(connection, once.workshop_id, url, secrets.mark(key), now)
        return NewWebhook(WebhookRow(webhook_id, url, now, None, None, None), secrets.derived(key, webhook_id))

    return once.carried_out(service, act)


def _checked(url: str, private: bool) -> None:
    try:
        look_up(url, private)
    except Forbidden as error:
        problem = Problem("/url", f"this URL cannot be told anything: {error}", "give a URL others can reach too")
        raise Invalid("The webhook was not added.", [problem]) from None


def all_of(service: Service, workshop_id: str) -> list[WebhookRow]:
    """Oldest first."""
    with service.database.read() as connection:
        return webhook_outbox.list_webhooks(connection, workshop_id)


def remove(service: Service, workshop_id: str, webhook_id: str) -> None:
    """With everything still on its way to it. Raises NotFound."""
    with service.database.write() as connection:
        if not webhook_outbox.remove_webhook(connection, workshop_id, webhook_id):
            raise NotFound("This workshop has no such webhook.")

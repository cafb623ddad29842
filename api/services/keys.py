"""The access keys of a workshop: made, rotated, listed, revoked."""

import time
from collections.abc import Iterable
from dataclasses import dataclass

from sqlalchemy import Connection

from api.service import Service
from api.service.refusals import NotFound
from api.services.once import Answer, Once
from worker.records import keys
from worker.records.keys import KeyRow


@dataclass(frozen=True)
class NewKey:
    """A key that was made. text: the whole of it, which nobody can read here again."""

    row: KeyRow
    text: str


def make(service: Service, once: Once[NewKey], label: str, scopes: Iterable[str], days: int | None) -> Answer:
    """A key that opens the workshop as far as its scopes go, for so many days. days: None, without end."""

    def act(connection: Connection, now: float) -> NewKey:
        sorted_scopes = tuple(sorted(set(scopes)))
        key_id, text = keys.make(connection, once.workshop_id, label, sorted_scopes, now, days)
        ends = None if days is None else now + days * 86400.0
        return NewKey(KeyRow(key_id, "", label, sorted_scopes, now, None, ends), text)

    return once.carried_out(service, act)


def rotate(service: Service, once: Once[NewKey], key_id: str) -> Answer:
    """A key that follows this one, which goes on for a day. Raises NotFound where it opens nothing."""

    def act(connection: Connection, now: float) -> NewKey:
        made = keys.rotate(connection, key_id, now, once.workshop_id)
        if made is None:
            raise NotFound("This workshop has no such key, or it opens nothing any more.")
        return NewKey(*made)

    return once.carried_out(service, act)


def all_of(service: Service, workshop_id: str) -> list[KeyRow]:
    """Oldest first, revoked ones too."""
    with service.database.read() as connection:
        return keys.list_keys(connection, workshop_id)


def revoke(service: Service, workshop_id: str, key_id: str) -> None:
    """From the next request on it opens nothing. Raises NotFound."""
    with service.database.write() as connection:
        if not keys.revoke(connection, key_id, time.time(), workshop_id):
            raise NotFound("This workshop has no such key.")

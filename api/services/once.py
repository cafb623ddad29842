"""What is asked twice with the same Idempotency-Key is done once and answered twice the same."""

import hashlib
import json
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Generic, TypeVar

from sqlalchemy import Connection

from api.service import Service
from api.service.refusals import Invalid
from worker.records import idempotency_keys

Made = TypeVar("Made")
_KEPT = {"location", "content-type", "etag"}
"""Headers that a repeat gets too."""


@dataclass(frozen=True)
class Answer:
    """What a request is answered with. headers: names in any case. body: text."""

    status: int
    headers: dict[str, str]
    body: str


@dataclass(frozen=True)
class Once(Generic[Made]):
    """A request that is carried out once. key: the client's own; None: each sending is a request of its own.

    request: address and body, which must be the same in a repeat. told: the answer that says what was done.
    """

    workshop_id: str
    key: str | None
    request: tuple[str, bytes]
    told: Callable[[Made], Answer]

    def carried_out(self, service: Service, act: Callable[[Connection, float], Made]) -> Answer:
        """What `act` did, in one transaction, given it and the moment; or the answer that was given the first time.

        The answer is kept in the same transaction, so exactly when what it says was done. Raises Invalid where the key
        was used with another request, and what `act` raises.
        """
        now = time.time()
        with service.database.write() as connection:
            return self.carry_out(connection, act, now)

    def carry_out(self, connection: Connection, act: Callable[[Connection, float], Made], now: float) -> Answer:
        """As `carried_out`, within a transaction of the caller's."""
        if self.key is None:
            return self.told(act(connection, now))
        digest = hashlib.sha256(self.request[0].encode() + b"\n" + self.request[1]).hexdigest()
        earlier = idempotency_keys.begin(connection, self.workshop_id, self.key, digest, now)
        if earlier is None:
            answer = self.told(act(connection, now))
            kept = {name: text for name, text in answer.headers.items() if name.lower() in _KEPT}
            idempotency_keys.keep(connection, self.workshop_id, self.key, answer.status, json.dumps(kept), answer.body)
            return answer
        if earlier.request_sha256 != digest:
            raise Invalid("This `Idempotency-Key` was used with another request; use a new key for a new request.")
        return Answer(earlier.status, {**json.loads(earlier.headers), "Idempotent-Replay": "true"}, earlier.body)

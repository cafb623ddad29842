"""A POST sent twice with the same Idempotency-Key is done once and answered twice the same."""

import hashlib
import json
from collections.abc import Callable
from typing import Annotated

from fastapi import Header, Response
from sqlalchemy import Connection

from api.http.problems import Invalid
from api.services.once import Answer
from worker.records import idempotency_keys

IdempotencyKey = Annotated[
    str | None,
    Header(
        pattern="^[!-~]{1,200}$",
        description="any printable ASCII of the client's own, without spaces: a repeat with the same key and the "
        "same body gets the first answer again",
    ),
]


def once(
    connection: Connection,
    workshop_id: str,
    key: str | None,
    request: tuple[str, bytes],
    now: float,
    act: Callable[[], Response],
) -> Response:
    """`act`'s answer, or the one it gave the first time. request: path and body, which must be the same.

    Runs inside the caller's transaction, so the answer is kept exactly when what it says was done.
    """
    if key is None:
        return act()
    digest = hashlib.sha256(request[0].encode() + b"\n" + request[1]).hexdigest()
    earlier = idempotency_keys.begin(connection, workshop_id, key, digest, now)
    if earlier is None:
        response = act()
        headers = {k: v for k, v in response.headers.items() if k in {"location", "content-type", "etag"}}
        body = bytes(response.body).decode()
        idempotency_keys.keep(connection, workshop_id, key, response.status_code, json.dumps(headers), body)
        return response
    if earlier.request_sha256 != digest:
        raise Invalid("This `Idempotency-Key` was used with another request; use a new key for a new request.")
    repeated = {**json.loads(earlier.headers), "Idempotent-Replay": "true"}
    return Response(earlier.body, earlier.status, repeated)


def json_answer(text: str, status: int, headers: dict[str, str] | None = None) -> Answer:
    """An answer that is a JSON document."""
    return Answer(status, {"Content-Type": "application/json", **(headers or {})}, text)


def response_of(answer: Answer) -> Response:
    """The answer as it goes out."""
    return Response(answer.body, answer.status, answer.headers)

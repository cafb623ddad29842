"""Things made with a secret that is shown in the first answer and never again, also not when that one is repeated."""

import json
import time
from collections.abc import Callable

from fastapi import Response
from pydantic import BaseModel
from sqlalchemy import Connection

from api.http.idempotency import once
from api.service import Service


def made_with_secret(
    service: Service,
    workshop_id: str,
    idempotency_key: str | None,
    request: tuple[str, bytes],
    member: str,
    make: Callable[[Connection, float], tuple[BaseModel, str]],
) -> Response:
    """201 with what `make` made (document without its secret, secret), the secret under `member`.

    request: path and body, as for `once`. The answer that is kept for a repeat has null in the secret's place.
    """
    now, shown = time.time(), []

    def act(connection: Connection) -> Response:
        made, secret = make(connection, now)
        shown.append(secret)
        return _created({**made.model_dump(mode="json"), member: None})

    with service.database.write() as connection:
        answer = once(connection, workshop_id, idempotency_key, request, now, lambda: act(connection))
    return _created({**json.loads(bytes(answer.body)), member: shown[0]}) if shown else answer


def _created(document: dict[str, object]) -> Response:
    return Response(json.dumps(document), 201, {"Cache-Control": "no-store"}, "application/json")

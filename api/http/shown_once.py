"""Things made with a secret that is shown in the first answer and never again, also not when that one is repeated."""

import json
from collections.abc import Callable
from typing import TypeVar

from fastapi import Response
from pydantic import BaseModel

from api.http.idempotency import json_answer, response_of
from api.services.once import Answer, Once

Made = TypeVar("Made")


class ShownOnce:
    """201 with what was made, its secret under `member`; the answer that is kept for a repeat has null there."""

    def __init__(self, member: str) -> None:
        self.member = member
        self._shown: list[str] = []

    def once(
        self,
        workshop_id: str,
        key: str | None,
        request: tuple[str, bytes],
        said: Callable[[Made], tuple[BaseModel, str]],
    ) -> Once[Made]:
        """The request. said: the document of what was made, without its secret, and the secret."""

        def told(made: Made) -> Answer:
            document, secret = said(made)
            self._shown.append(secret)
            return _created({**document.model_dump(mode="json"), self.member: None})

        return Once(workshop_id, key, request, told)

    def response(self, answer: Answer) -> Response:
        """The answer, with the secret where this is the first time."""
        if self._shown:
            answer = _created({**json.loads(answer.body), self.member: self._shown[0]})
        return response_of(answer)


def _created(document: dict[str, object]) -> Answer:
    return json_answer(json.dumps(document), 201, {"Cache-Control": "no-store"})

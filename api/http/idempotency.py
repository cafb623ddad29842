"""A POST sent twice with the same Idempotency-Key is done once and answered twice the same."""

from typing import Annotated

from fastapi import Header, Response

from api.services.once import Answer

IdempotencyKey = Annotated[
    str | None,
    Header(
        pattern="^[!-~]{1,200}$",
        description="any printable ASCII of the client's own, without spaces: a repeat with the same key and the "
        "same body gets the first answer again",
    ),
]


def json_answer(text: str, status: int, headers: dict[str, str] | None = None) -> Answer:
    """An answer that is a JSON document."""
    return Answer(status, {"Content-Type": "application/json", **(headers or {})}, text)


def response_of(answer: Answer) -> Response:
    """The answer as it goes out."""
    return Response(answer.body, answer.status, answer.headers)

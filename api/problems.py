"""Errors as RFC 9457 problem documents: what is wrong, where (RFC 6901 pointers), and what to do about it."""

import json
import logging
from collections.abc import Sequence
from http import HTTPStatus
from typing import Any

from fastapi import FastAPI, Request, Response
from fastapi.exceptions import RequestValidationError
from pydantic import BaseModel, Field
from sqlalchemy.exc import DBAPIError, TimeoutError
from starlette.exceptions import HTTPException

from api.requests import request_id
from planner.errors import Problem

log = logging.getLogger(__name__)
MEDIA_TYPE = "application/problem+json"


class Finding(BaseModel):
    """One thing wrong. pointer: where in the document sent (RFC 6901), or the header's or parameter's name."""

    pointer: str = Field(examples=["/tools/rim/presses"])
    message: str = Field(examples=["tool `rim` fits no press with two barrels"])
    remedy: str = Field(default="", examples=["name a press that has two barrels"])


class ProblemDocument(BaseModel):
    """RFC 9457."""

    type: str = Field(examples=["/problems/campaign"])
    title: str
    status: int
    detail: str
    instance: str = Field(description="the request's id, to be named when asking for help")
    errors: list[Finding] = []


class Refused(Exception):
    """A request that is answered with a problem document. Subclasses say which status and which type."""

    status = HTTPStatus.BAD_REQUEST
    kind = "request"
    title = "The request cannot be read"

    def __init__(self, detail: str, problems: Sequence[Problem] = (), headers: dict[str, str] | None = None) -> None:
        self.detail, self.problems, self.headers = detail, list(problems), headers or {}
        super().__init__(detail)


class BadRequest(Refused):
    pass


class NotWellFormed(Refused):
    kind, title = "json", "The document is not well-formed JSON"


class NoKey(Refused):
    status, kind, title = HTTPStatus.UNAUTHORIZED, "key", "A valid access key is needed"


class NotAllowed(Refused):
    status, kind, title = HTTPStatus.FORBIDDEN, "scope", "This access key may not do that"


class NotFound(Refused):
    status, kind, title = HTTPStatus.NOT_FOUND, "not-found", "There is nothing here"


class NotAcceptable(Refused):
    status, kind, title = HTTPStatus.NOT_ACCEPTABLE, "accept", "Not available in that form"


class Conflict(Refused):
    status, kind, title = HTTPStatus.CONFLICT, "conflict", "Not possible as things stand"


class Changed(Refused):
    status, kind, title = HTTPStatus.PRECONDITION_FAILED, "changed", "It was changed meanwhile"


class TooLarge(Refused):
    status, kind, title = HTTPStatus.REQUEST_ENTITY_TOO_LARGE, "too-large", "The document is too large"


class WrongMediaType(Refused):
    status, kind, title = HTTPStatus.UNSUPPORTED_MEDIA_TYPE, "media-type", "Not a kind of document read here"


class InvalidCampaign(Refused):
    status, kind, title = HTTPStatus.UNPROCESSABLE_ENTITY, "campaign", "The campaign cannot be planned as it is"


class Invalid(Refused):
    status, kind, title = HTTPStatus.UNPROCESSABLE_ENTITY, "invalid", "Some values do not fit"


class PreconditionRequired(Refused):
    status, kind, title = HTTPStatus.PRECONDITION_REQUIRED, "if-match", "Say which edition you are changing"


class TooMany(Refused):
    status, kind, title = HTTPStatus.TOO_MANY_REQUESTS, "quota", "The workshop's quota is used up"


class Unavailable(Refused):
    status, kind, title = HTTPStatus.SERVICE_UNAVAILABLE, "unavailable", "The service cannot answer just now"


def problem(
    status: int,
    kind: str,
    title: str,
    detail: str,
    problems: Sequence[Problem] = (),
    headers: dict[str, str] | None = None,
) -> Response:
    """The response that carries one problem document."""
    document: dict[str, Any] = {
        "type": f"/problems/{kind}",
        "title": title,
        "status": int(status),
        "detail": detail,
        "instance": f"/requests/{request_id.get()}",
        "errors": [{"pointer": p.pointer, "message": p.message, "remedy": p.remedy} for p in problems],
    }
    return Response(json.dumps(document), int(status), headers, MEDIA_TYPE)


def answers(*kinds: type[Refused]) -> dict[int | str, dict[str, Any]]:
    """What OpenAPI says about these refusals."""
    return {
        int(kind.status): {
            "description": kind.title,
            "content": {MEDIA_TYPE: {"schema": {"$ref": "#/components/schemas/ProblemDocument"}}},
        }
        for kind in kinds
    }


def install(app: FastAPI) -> None:
    """Turn every exception a request can end in into a problem document."""

    @app.exception_handler(Refused)
    async def refused(_request: Request, error: Refused) -> Response:
        return problem(error.status, error.kind, error.title, error.detail, error.problems, error.headers)

    @app.exception_handler(HTTPException)
    async def http(_request: Request, error: HTTPException) -> Response:
        title = HTTPStatus(error.status_code).phrase
        kind = "not-found" if error.status_code == HTTPStatus.NOT_FOUND else "request"
        return problem(error.status_code, kind, title, str(error.detail), (), dict(error.headers or {}))

    @app.exception_handler(RequestValidationError)
    async def parameters(_request: Request, error: RequestValidationError) -> Response:
        if any(e["loc"][0] == "path" for e in error.errors()):
            # An id that cannot be one of ours is answered like one that is another's.
            return problem(NotFound.status, NotFound.kind, NotFound.title, "There is nothing under this address.")
        found = [Problem(str(e["loc"][-1]), e["msg"], f"in the {e['loc'][0]}") for e in error.errors()]
        return problem(Invalid.status, Invalid.kind, Invalid.title, "Parameters or headers do not fit.", found)

    @app.exception_handler(DBAPIError)
    @app.exception_handler(TimeoutError)
    async def records(_request: Request, error: Exception) -> Response:
        log.error("records cannot be reached", exc_info=error)
        detail = "The records cannot be reached; nothing was changed. Try again shortly."
        return problem(Unavailable.status, Unavailable.kind, Unavailable.title, detail, (), {"Retry-After": "2"})

    @app.exception_handler(Exception)
    async def fault(_request: Request, error: Exception) -> Response:
        log.error("fault", exc_info=error)
        return problem(500, "fault", "A fault of ours", "The service failed; this is not your document's fault.")

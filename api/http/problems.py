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
from starlette.requests import ClientDisconnect
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.apart.process import Busy
from api.service import request_id
from api.service.refusals import TRY_LATER, BadRequest, Fault, Invalid, NotFound, Refused, Unavailable
from planner.errors import Problem

log = logging.getLogger(__name__)
MEDIA_TYPE = "application/problem+json"


class Finding(BaseModel):
    """One thing wrong. pointer: where in the document sent (RFC 6901), or the header's or parameter's name."""

    pointer: str = Field(examples=["/tools/rim/presses"])
    message: str = Field(examples=["tool `rim` fits no press with two barrels"])
    remedy: str = Field(default="", examples=["name a press that has two barrels"])


class ProblemDocument(BaseModel):
    """RFC 9457. What each type means and what helps is answered at the type's own address; all of them at /problems."""

    type: str = Field(examples=["/problems/campaign"], description="where this kind of problem is explained")
    title: str
    status: int
    detail: str
    instance: str = Field(description="the request's id, to be named when asking for help")
    errors: list[Finding] = []


def problem(
    kind: type[Refused],
    detail: str,
    problems: Sequence[Problem] = (),
    headers: dict[str, str] | None = None,
    status: int | None = None,
    title: str | None = None,
) -> Response:
    """The response that carries one problem document. status, title: unless they are the kind's own."""
    document: dict[str, Any] = {
        "type": f"/problems/{kind.kind}",
        "title": title or kind.title,
        "status": int(status or kind.status),
        "detail": detail,
        "instance": f"/requests/{request_id.get()}",
        "errors": [{"pointer": p.pointer, "message": p.message, "remedy": p.remedy} for p in problems],
    }
    return Response(json.dumps(document), document["status"], headers, MEDIA_TYPE)


def answers(*kinds: type[Refused]) -> dict[int | str, dict[str, Any]]:
    """What OpenAPI says about these refusals: by status, each kind with its page."""
    told: dict[int | str, dict[str, Any]] = {}
    for kind in kinds:
        said = f"{kind.title} ([{kind.kind}](/problems/{kind.kind}))"
        known = told.get(int(kind.status))
        told[int(kind.status)] = {
            "description": f"{known['description']}; {said}" if known else said,
            "content": {MEDIA_TYPE: {"schema": {"$ref": "#/components/schemas/ProblemDocument"}}},
        }
    return told


def install(app: FastAPI) -> None:
    """Turn every exception a request can end in into a problem document."""

    @app.exception_handler(Refused)
    async def refused(_request: Request, error: Refused) -> Response:
        return problem(type(error), error.detail, error.problems, error.headers, error.status, error.title)

    @app.exception_handler(HTTPException)
    async def http(_request: Request, error: HTTPException) -> Response:
        kind: type[Refused] = NotFound if error.status_code == HTTPStatus.NOT_FOUND else BadRequest
        title = HTTPStatus(error.status_code).phrase
        return problem(kind, str(error.detail), (), dict(error.headers or {}), error.status_code, title)

    @app.exception_handler(RequestValidationError)
    async def parameters(_request: Request, error: RequestValidationError) -> Response:
        if any(e["loc"][0] == "path" for e in error.errors()):
            # An id that cannot be one of ours is answered like one that is another's.
            return problem(NotFound, "There is nothing under this address.")
        found = [Problem(str(e["loc"][-1]), e["msg"], f"in the {e['loc'][0]}") for e in error.errors()]
        return problem(Invalid, "Parameters or headers do not fit.", found)

    @app.exception_handler(Busy)
    async def busy(_request: Request, error: Busy) -> Response:
        return problem(Unavailable, str(error), (), TRY_LATER)

    @app.exception_handler(DBAPIError)
    @app.exception_handler(TimeoutError)
    async def records(_request: Request, error: Exception) -> Response:
        said = records_away(error)
        return problem(type(said), said.detail, (), said.headers)


def records_away(error: Exception) -> Unavailable:
    """Logs that the records cannot be reached, and says it."""
    log.error("records cannot be reached", exc_info=error, extra={"request": request_id.get()})
    return Unavailable(
        "The records cannot be reached; nothing was changed. Try again shortly.", headers={"Retry-After": "2"}
    )


def fault(error: Exception) -> Fault:
    """Logs what nobody thought of, and says that it was ours."""
    log.error("fault", exc_info=error, extra={"request": request_id.get()})
    return Fault("The service failed; this is not your document's fault.")


class Faults:
    """Answers what nothing else did with a problem document that carries the request's id, and logs it under that id.

    Inside the middleware that gives the id and the headers, around everything else.
    """

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        begun = False

        async def answer(message: Message) -> None:
            nonlocal begun
            begun = True
            await send(message)

        try:
            await self.app(scope, receive, answer)
        except ClientDisconnect:
            log.info("the client went away before its request was through", extra={"request": request_id.get()})
        except Exception as error:
            said = fault(error)
            if scope["type"] != "http" or begun:
                raise  # the answer is on its way already: only cutting it off says that it is not whole
            await problem(type(said), said.detail)(scope, receive, send)

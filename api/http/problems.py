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
from api.http.requests import request_id
from planner.errors import Problem

log = logging.getLogger(__name__)
MEDIA_TYPE = "application/problem+json"
TRY_LATER = {"Retry-After": "5"}
"""Where as much is being worked on as may be."""


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


class Refused(Exception):
    """A request that is answered with a problem document.

    Subclasses say which status and which type; what they mean is their docstring, what helps is their remedy. Both are
    what /problems/{kind} answers.
    """

    status = HTTPStatus.BAD_REQUEST
    kind = "request"
    title = "The request cannot be read"
    remedy = "Compare the request with the OpenAPI document at /v1/openapi.json; `detail` says what is wrong."

    def __init__(self, detail: str, problems: Sequence[Problem] = (), headers: dict[str, str] | None = None) -> None:
        self.detail, self.problems, self.headers = detail, list(problems), headers or {}
        super().__init__(detail)


class BadRequest(Refused):
    """A header, a cursor or the way of asking is not what this address takes."""


class NotWellFormed(Refused):
    """The body is not JSON as RFC 8259 means it, says a name twice, is nested too deeply, or holds NaN, endless numbers
    or half characters."""

    kind, title = "json", "The document is not well-formed JSON"
    remedy = "Mend the place that `detail` names by line and column, and save the file as UTF-8."


class NoKey(Refused):
    """This service is reached from other machines, so it asks who you are; no key was sent, or one that is unknown or
    was revoked."""

    status, kind, title = HTTPStatus.UNAUTHORIZED, "key", "A valid access key is needed"
    remedy = (
        "Send `Authorization: Bearer KEY`. Whoever runs the service makes keys: `shot-to-ship key make WORKSHOP`, in a "
        "checkout ./run key make WORKSHOP."
    )


class NotAllowed(Refused):
    """The key is valid but lacks the scope this needs (read, plan or admin), or a page from elsewhere asks."""

    status, kind, title = HTTPStatus.FORBIDDEN, "scope", "This access key may not do that"
    remedy = "Use a key with the scope that `detail` names; somebody with the scope admin makes one at /v1/keys."


class NotFound(Refused):
    """No such thing is your workshop's: it never was, was deleted, or is another's, which is told in the same way."""

    status, kind, title = HTTPStatus.NOT_FOUND, "not-found", "There is nothing here"
    remedy = "Take addresses from `Location`, from `links` or from the lists; check the key if it should be there."


class NotAcceptable(Refused):
    """None of the media types in `Accept` is one this can be had in."""

    status, kind, title = HTTPStatus.NOT_ACCEPTABLE, "accept", "Not available in that form"
    remedy = "Ask for one of the forms that `detail` lists, or leave `Accept` out."


class Conflict(Refused):
    """What is asked does not go with the state things are in, such as stopping a plan that is finished."""

    status, kind, title = HTTPStatus.CONFLICT, "conflict", "Not possible as things stand"
    remedy = "Read the thing again; `detail` says what it is now and what to do first."


class Changed(Refused):
    """The `If-Match` sent names a state that is not the present one: somebody was quicker."""

    status, kind, title = HTTPStatus.PRECONDITION_FAILED, "changed", "It was changed meanwhile"
    remedy = "Read it again, see whether your change still makes sense, and send it with the new ETag."


class TooLarge(Refused):
    """The body has more bytes than are taken at this address."""

    status, kind, title = HTTPStatus.REQUEST_ENTITY_TOO_LARGE, "too-large", "The document is too large"
    remedy = "Send less at a time: `detail` says how many bytes are taken."


class TooSlow(Refused):
    """The body came so slowly that it was not waited for to its end."""

    status, kind, title = HTTPStatus.REQUEST_TIMEOUT, "too-slow", "The document did not come in time"
    remedy = "Send it again over a better line, or in smaller pieces."


class WrongMediaType(Refused):
    """The body's `Content-Type` is not one that is read at this address."""

    status, kind, title = HTTPStatus.UNSUPPORTED_MEDIA_TYPE, "media-type", "Not a kind of document read here"
    remedy = "Send what the answer's `Accept` header names, with that `Content-Type`."


class InvalidCampaign(Refused):
    """The campaign contradicts itself, or lacks something without which no plan can be made."""

    status, kind, title = HTTPStatus.UNPROCESSABLE_ENTITY, "campaign", "The campaign cannot be planned as it is"
    remedy = "`errors` names each field by its JSON Pointer, with what would mend it; mend all and send it again."


class Invalid(Refused):
    """The document is well-formed, but some fields, parameters or headers have values that do not fit."""

    status, kind, title = HTTPStatus.UNPROCESSABLE_ENTITY, "invalid", "Some values do not fit"
    remedy = "`errors` names each field, parameter or header, with what would fit."


class PreconditionRequired(Refused):
    """This changes something others may be changing too, so it is done only to a state you have seen."""

    status, kind, title = HTTPStatus.PRECONDITION_REQUIRED, "if-match", "Say which edition you are changing"
    remedy = "Read it, then send its ETag as `If-Match`."


class TooMany(Refused):
    """The workshop has used up what it may have: requests a minute, open plans or stored bytes."""

    status, kind, title = HTTPStatus.TOO_MANY_REQUESTS, "quota", "The workshop's quota is used up"
    remedy = "Wait as long as `Retry-After` says; where it says nothing, delete plans you no longer need."


class Unavailable(Refused):
    """The service cannot reach its records, or is busy beyond what it can take in. Nothing was changed."""

    status, kind, title = HTTPStatus.SERVICE_UNAVAILABLE, "unavailable", "The service cannot answer just now"
    remedy = "Send the same again after `Retry-After`; with an `Idempotency-Key` it cannot be done twice."


class Fault(Refused):
    """Something went wrong that should not have: it is the service's fault, not your document's."""

    status, kind, title = HTTPStatus.INTERNAL_SERVER_ERROR, "fault", "A fault of ours"
    remedy = "Try again; if it happens again, tell whoever runs the service the `instance`: it finds the log's lines."


KINDS: tuple[type[Refused], ...] = (
    BadRequest, NotWellFormed, NoKey, NotAllowed, NotFound, NotAcceptable, Conflict, Changed, TooLarge, TooSlow,
    WrongMediaType, InvalidCampaign, Invalid, PreconditionRequired, TooMany, Unavailable, Fault,
)  # fmt: skip
"""Every type a problem document can have; each has its page."""


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
        log.error("records cannot be reached", exc_info=error, extra={"request": request_id.get()})
        detail = "The records cannot be reached; nothing was changed. Try again shortly."
        return problem(Unavailable, detail, (), {"Retry-After": "2"})


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
            log.error("fault", exc_info=error, extra={"request": request_id.get()})
            if scope["type"] != "http" or begun:
                raise  # the answer is on its way already: only cutting it off says that it is not whole
            failed = problem(Fault, "The service failed; this is not your document's fault.")
            await failed(scope, receive, send)

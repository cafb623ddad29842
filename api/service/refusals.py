"""What a request may be refused for: each a class with its status, what it means and what helps.

Raised by services and routes alike; `api/http/problems.py` writes the document.
"""

from collections.abc import Sequence
from http import HTTPStatus

from planner.errors import Problem

TRY_LATER = {"Retry-After": "5"}
"""Where as much is being worked on as may be."""


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

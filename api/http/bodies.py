"""Request bodies: never more bytes than allowed, never another media type than asked for."""

from typing import Any, TypeVar

from anyio import to_thread
from fastapi import Request
from pydantic import BaseModel, ValidationError

from api.http.strict_json import SHORT, NotJson, parse, parse_short
from api.service.refusals import BadRequest, Invalid, NotWellFormed, TooLarge, TooSlow, WrongMediaType
from planner.reading import problems_in

BODY_REFUSALS = (BadRequest, NotWellFormed, TooLarge, TooSlow, WrongMediaType, Invalid)
Model = TypeVar("Model", bound=BaseModel)


async def read_bounded(request: Request, largest: int) -> bytes:
    """The body, at most `largest` bytes; reads no more than that even when it lies about its length."""
    detail = f"At most {largest} bytes are taken here."
    declared = request.headers.get("content-length", "0")
    if declared.isdecimal() and int(declared) > largest:
        raise TooLarge(detail, headers={"Connection": "close"})
    chunks, size = [], 0
    async for chunk in request.stream():
        size += len(chunk)
        if size > largest:
            raise TooLarge(detail, headers={"Connection": "close"})
        chunks.append(chunk)
    return b"".join(chunks)


async def read_json(request: Request, largest: int, deepest: int) -> tuple[bytes, Any]:
    """The body's bytes and the document in them."""
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind != "application/json" and not (kind.startswith("application/") and kind.endswith("+json")):
        raise WrongMediaType(
            "Send application/json.", headers={"Accept": "application/json", "Accept-Post": "application/json"}
        )
    body = await read_bounded(request, largest)
    try:
        if len(body) <= SHORT:
            return body, parse_short(body, deepest)
        return body, await to_thread.run_sync(parse, body, deepest)
    except NotJson as error:
        raise NotWellFormed(f"The document cannot be read: {error}.") from None


def json_body(model: type[BaseModel]) -> dict[str, Any]:
    """What OpenAPI says about a body that is read by `read_json`; the schema is added by api.openapi."""
    schema = {"$ref": f"#/components/schemas/{model.__name__}"}
    return {"requestBody": {"required": True, "content": {"application/json": {"schema": schema}}}}


def valid(model: type[Model], parsed: Any) -> Model:
    """The parsed document as that model; raises Invalid with every problem."""
    try:
        return model.model_validate(parsed)
    except ValidationError as error:
        raise Invalid("The document does not fit.", problems_in(error, parsed)) from None


async def fitting(model: type[Model], parsed: Any) -> Model:
    """What `valid` gives, worked out beside the event loop: a large document takes its time."""
    return await to_thread.run_sync(valid, model, parsed)

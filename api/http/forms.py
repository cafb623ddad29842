"""Forms within bounds: a form is read to its end only if it holds no more bytes and fields than its address takes."""

from collections.abc import AsyncGenerator, Callable
from typing import Annotated

from fastapi import Depends, Request
from starlette.datastructures import FormData
from starlette.types import Message, Receive

from api.service.refusals import BadRequest, TooLarge

FORM_BYTES = 1_000_000
"""What the fields of a form may hold where it is a page's own, or besides its file."""


def bounded(receive: Receive, largest: int) -> Receive:
    """The same messages, until the body is larger than `largest` bytes: then raises TooLarge."""
    size = 0

    async def counted() -> Message:
        nonlocal size
        message = await receive()
        size += len(message.get("body", b""))
        if size > largest:
            raise TooLarge(f"At most {largest} bytes are taken here.", headers={"Connection": "close"})
        return message

    return counted


async def read_form(
    request: Request, largest: int = FORM_BYTES, fields: int = 1000, longest: int | None = None
) -> FormData:
    """The form: at most `largest` bytes in all, `fields` fields and two files, which lie on disk if they are large.

    longest: bytes of one field; None: as many as all may have.

    Raises TooLarge and BadRequest.
    """
    declared = request.headers.get("content-length", "0")
    if declared.isdecimal() and int(declared) > largest:
        raise TooLarge(f"At most {largest} bytes are taken here.", headers={"Connection": "close"})
    inner = Request(request.scope, bounded(request.receive, largest))
    try:
        return await inner.form(max_files=2, max_fields=fields, max_part_size=longest or largest)
    except KeyError:
        raise BadRequest("The form cannot be read: its boundary is not named.") from None


def form_of(largest: int = FORM_BYTES, fields: int = 1000) -> Callable[[Request], AsyncGenerator[FormData, None]]:
    """A dependency that reads the form before the handler begins, which then need not wait for it."""

    async def form(request: Request) -> AsyncGenerator[FormData, None]:
        read = await read_form(request, largest, fields)
        try:
            yield read
        finally:
            await read.close()

    return form


SentForm = Annotated[FormData, Depends(form_of())]
"""The form of a page whose fields are few and short."""

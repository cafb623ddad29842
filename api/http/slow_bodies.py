"""Bodies that take their time, and those without end: ended for every address, whatever reads them."""

import time

import anyio
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.http.forms import FORM_BYTES
from api.service.refusals import TooLarge, TooSlow
from api.uploads.limits import Limits

LARGEST = Limits().file_bytes + FORM_BYTES
"""Bytes of any body; most addresses take far less and say so themselves."""
AT_LEAST = 20.0
"""Seconds that any body may take."""
BYTES_A_SECOND = 16_000
"""A larger body may take as long as a slow mobile line needs for it."""


class Bodies:
    """Around everything that reads a request's body."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        begun, size, whole = time.monotonic(), 0, False

        async def bounded() -> Message:
            nonlocal size, whole
            if whole:  # from here on it only waits for the client to go away
                return await receive()
            until = begun + AT_LEAST + size / BYTES_A_SECOND
            message: Message | None = None
            with anyio.move_on_after(max(0.0, until - time.monotonic())):
                message = await receive()
            if message is None:
                raise TooSlow("The rest of the body did not come in time.", headers={"Connection": "close"})
            size += len(message.get("body", b""))
            whole = not message.get("more_body", False)
            if size > LARGEST:
                raise TooLarge(f"At most {LARGEST} bytes are taken here.", headers={"Connection": "close"})
            return message

        await self.app(scope, bounded, send)

"""HEAD for every address that answers GET: the same headers without the content (RFC 9110, 9.3.2)."""

import anyio
import anyio.lowlevel
from starlette.types import ASGIApp, Message, Receive, Scope, Send


class HeadAsGet:
    """Asks the application inside by GET and keeps back what it sends; a stream is left as soon as it begins."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http" or scope["method"] != "HEAD":
            await self.app(scope, receive, send)
            return
        asked = {**scope, "method": "GET"}
        over = False

        async def answer(message: Message) -> None:
            nonlocal over
            if message["type"] == "http.response.start":
                await send(message)
            elif not over:
                over = True
                await send({"type": "http.response.body", "body": b"", "more_body": False})
                if message.get("more_body", False):
                    left.cancel()
                    await anyio.lowlevel.checkpoint()

        with anyio.CancelScope() as left:
            await self.app(asked, receive, answer)
        # Whoever counts and logs outside asks which route it was.
        scope.update({**asked, "method": "HEAD"})

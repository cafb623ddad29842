"""Answers sent small: texts that are whole go out gzipped to whoever says it takes that (RFC 9110, 8.4 and 12.5.3).

What streams is left alone, so that each of its lines arrives when it is written; so is what carries an entity tag,
since the tag names the very bytes; so is what comes compressed already.
"""

import gzip
import re

from anyio import to_thread
from starlette.types import ASGIApp, Message, Receive, Scope, Send

LEAST = 1000
"""Bytes from which it is worth it: below, an answer fits one packet anyway."""
_TEXTS = re.compile(rb"text/(html|css|javascript|plain|markdown)|application/(json|problem\+json)|image/svg\+xml")
_TAKES = re.compile(r"(?:^|[,\s])(?:gzip|\*)\s*(?:;\s*q=(?P<q>[01](?:\.\d{0,3})?))?\s*(?:,|$)", re.IGNORECASE)


class Compressed:
    """Gzips the answers of the application inside."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        taken = takes_gzip(dict(scope["headers"]).get(b"accept-encoding", b"").decode("latin-1"))
        start: Message | None = None

        async def answer(message: Message) -> None:
            nonlocal start
            if message["type"] == "http.response.start" and _is_text(message):
                start = message
                return
            if start is not None:
                begun, start = start, None
                whole = message["type"] == "http.response.body" and not message.get("more_body", False)
                if whole and len(message.get("body", b"")) >= LEAST:
                    begun, message = await _smaller(begun, message, taken)
                await send(begun)
            await send(message)

        await self.app(scope, receive, answer)


def takes_gzip(accept_encoding: str) -> bool:
    """Whether `Accept-Encoding` lets gzip through."""
    found = _TAKES.search(accept_encoding)
    return found is not None and float(found["q"] or 1) > 0


def _is_text(start: Message) -> bool:
    headers = dict(start["headers"])
    known = {name.lower() for name in headers}
    return _TEXTS.match(headers.get(b"content-type", b"")) is not None and not known & {b"content-encoding", b"etag"}


async def _smaller(start: Message, body: Message, taken: bool) -> tuple[Message, Message]:
    headers = [(name, value) for name, value in start["headers"] if name.lower() != b"vary"]
    varies = [value for name, value in start["headers"] if name.lower() == b"vary"]
    headers.append((b"vary", b", ".join([*varies, b"Accept-Encoding"])))
    if not taken:
        return {**start, "headers": headers}, body
    content = await to_thread.run_sync(lambda: gzip.compress(body["body"], 6, mtime=0))
    headers = [(name, value) for name, value in headers if name.lower() != b"content-length"]
    headers += [(b"content-encoding", b"gzip"), (b"content-length", str(len(content)).encode())]
    return {**start, "headers": headers}, {**body, "body": content}

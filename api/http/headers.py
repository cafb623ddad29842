"""Headers every answer carries, so that a browser does less with it than it could, and those no request may bring."""

import re

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.http.problems import problem
from api.service.refusals import BadRequest
from planner.errors import Problem

ALWAYS = {
    "content-security-policy": "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
    "font-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'",
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "permissions-policy": "camera=(), geolocation=(), microphone=()",
}


class SafeHeaders:
    """Adds each of ALWAYS that the answer does not have by itself."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        async def answer(message: Message) -> None:
            if message["type"] == "http.response.start":
                present = {name.lower() for name, _ in message["headers"]}
                more = [(n.encode(), v.encode()) for n, v in ALWAYS.items() if n.encode() not in present]
                message["headers"] = [*message["headers"], *more]
            await send(message)

        await self.app(scope, receive, answer if scope["type"] == "http" else send)


_HOST = re.compile(rb"(?:[A-Za-z0-9](?:[A-Za-z0-9._-]{0,252})|\[[0-9A-Fa-f:.]{2,45}\])(?::[0-9]{1,5})?")
_ORIGIN = re.compile(rb"null|[a-z][a-z0-9+.-]{0,20}://" + _HOST.pattern)


class UsableHosts:
    """Refuses what names no host: addresses are made of `Host`, and `Origin` is compared with it."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "http" and (wrong := _unusable(scope["headers"])):
            detail = f"The header `{wrong}` names no host."
            await problem(BadRequest, detail, [Problem(wrong, "it names no host", "send the one asked for, once")])(
                scope, receive, send
            )
            return
        await self.app(scope, receive, send)


def _unusable(headers: list[tuple[bytes, bytes]]) -> str:
    """Which of the two headers is there twice, or says what none can say; else nothing."""
    for name, form in ((b"host", _HOST), (b"origin", _ORIGIN)):
        said = [value for key, value in headers if key == name]
        if len(said) > 1 or any(not form.fullmatch(value) for value in said):
            return name.decode().capitalize()
    return ""

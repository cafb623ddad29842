"""Headers every answer carries, so that a browser does less with it than it could."""

from starlette.types import ASGIApp, Message, Receive, Scope, Send

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

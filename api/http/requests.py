"""Every request has an id: in its answer, in its log lines, in the plan it submits, in the worker's lines."""

import logging
import re
import time

from opentelemetry import trace
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.service import request_id
from worker.records.ids import new_id

log = logging.getLogger(__name__)
# Spans go nowhere until an OpenTelemetry SDK is installed and set up (docs/operations.md says how).
tracer = trace.get_tracer("shot-to-ship.api")
_QUIET = {"/v1/live", "/v1/ready", "/v1/metrics"}
_OURS_OR_THEIRS = re.compile(rb"[A-Za-z0-9._-]{8,64}")


class RequestIds:
    """Takes X-Request-Id if it is harmless, makes one otherwise, and logs each request when it ends."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        given = dict(scope["headers"]).get(b"x-request-id", b"")
        name = given.decode("ascii") if _OURS_OR_THEIRS.fullmatch(given) else new_id()
        token = request_id.set(name)
        begun, status = time.perf_counter(), 0

        async def answer(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
                message["headers"] = [*message["headers"], (b"x-request-id", name.encode())]
            await send(message)

        span = tracer.start_span(f"{scope['method']} (none)", kind=trace.SpanKind.SERVER)
        try:
            with trace.use_span(span):
                await self.app(scope, receive, answer)
        except Exception:
            status = 500  # cut off in the middle, or before it began: whoever counts faults counts this one
            raise
        finally:
            metrics = scope["app"].state.service.metrics if "app" in scope else None
            route = getattr(scope.get("route"), "path", "(none)")
            taken = round((time.perf_counter() - begun) * 1000, 1)
            facts = {"request": name, "method": scope["method"], "route": route, "status": status}
            span.update_name(f"{scope['method']} {route}")
            span.set_attributes(
                {"http.request.method": scope["method"], "http.route": route, "http.response.status_code": status}
                | {"request": name}
            )
            # Whoever watches the service's health asks every few seconds; that is no news.
            level = logging.DEBUG if route in _QUIET else logging.INFO
            with trace.use_span(span, end_on_exit=True):
                log.log(level, "request", extra={**facts, "milliseconds": taken})
            if metrics is not None:
                metrics.requests.labels(scope["method"], route, status).inc()
                metrics.seconds.labels(route).observe(taken / 1000)
            request_id.reset(token)

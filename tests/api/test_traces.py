"""OpenTelemetry: the hooks, with a tracer of the test's own in place of an SDK."""

import json
import logging

from opentelemetry import trace
from opentelemetry.trace import NonRecordingSpan, SpanContext, TraceFlags

import api.http.requests
from worker.logs import JsonLines

CONTEXT = SpanContext(trace_id=0xABC, span_id=0xDEF, is_remote=False, trace_flags=TraceFlags(1))
IDS = {"trace_id": f"{0xABC:032x}", "span_id": f"{0xDEF:016x}"}


class Span(NonRecordingSpan):
    """Keeps what it is told."""

    def __init__(self):
        super().__init__(CONTEXT)
        self.name, self.attributes, self.ended = "", {}, 0

    def update_name(self, name):
        self.name = name

    def set_attributes(self, attributes):
        self.attributes |= attributes

    def is_recording(self):
        return True

    def end(self, end_time=None):
        self.ended += 1


def line_of(record):
    return json.loads(JsonLines().format(record))


def test_a_request_is_a_span_and_its_log_lines_belong_to_it(app, monkeypatch, caplog):
    """Named by method and route, with status and request id; ended once; the log line carries the trace."""
    spans = []

    class Tracer:
        def start_span(self, _name, **_options):
            spans.append(Span())
            return spans[-1]

    lines = []
    handler = logging.Handler()
    handler.emit = lambda record: lines.append(line_of(record))
    monkeypatch.setattr(api.http.requests, "tracer", Tracer())
    api.http.requests.log.addHandler(handler)
    caplog.set_level(logging.INFO, "api.http.requests")
    try:
        answer = app.client.get("/v1/plans")
    finally:
        api.http.requests.log.removeHandler(handler)
    (span,) = spans
    assert (span.name, span.ended) == ("GET /v1/plans", 1)
    assert span.attributes == {
        "http.request.method": "GET",
        "http.route": "/v1/plans",
        "http.response.status_code": 200,
        "request": answer.headers["x-request-id"],
    }
    (line,) = [line for line in lines if line["message"] == "request"]
    assert {name: line[name] for name in IDS} == IDS


def test_without_a_trace_log_lines_say_nothing_of_one():
    """As in a service without an SDK."""
    record = logging.LogRecord("x", logging.INFO, __file__, 1, "hello", (), None)
    assert not set(IDS) & set(line_of(record))
    with trace.use_span(NonRecordingSpan(CONTEXT)):
        assert {name: line_of(record)[name] for name in IDS} == IDS

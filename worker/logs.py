"""Logs as one JSON object a line, so that a plan or a request can be followed through all of them."""

import json
import logging
import sys
import time

from opentelemetry import trace

# What a record carries beside its message, by the names the code gives in `extra`.
EXTRA = ("request", "workshop", "plan", "attempt", "method", "route", "status", "milliseconds", "stand")


class JsonLines(logging.Formatter):
    """time (UTC), level, logger, message, what of EXTRA the record has, and the trace it belongs to if any."""

    def format(self, record: logging.LogRecord) -> str:
        line: dict[str, object] = {
            "time": time.strftime("%Y-%m-%dT%H:%M:%S", time.gmtime(record.created)) + f".{record.msecs:03.0f}Z",
            "level": record.levelname.lower(),
            "logger": record.name,
            "message": record.getMessage(),
        }
        line |= {name: value for name in EXTRA if (value := getattr(record, name, None)) is not None}
        span = trace.get_current_span().get_span_context()
        if span.is_valid:
            line |= {"trace_id": trace.format_trace_id(span.trace_id), "span_id": trace.format_span_id(span.span_id)}
        if record.exc_info:
            line["trace"] = self.formatException(record.exc_info)
        return json.dumps(line)


def log_as_json(level: int) -> None:
    """Send every logger's lines to standard error in this form."""
    handler = logging.StreamHandler(sys.stderr)
    handler.setFormatter(JsonLines())
    root = logging.getLogger()
    root.handlers[:] = [handler]
    root.setLevel(level)

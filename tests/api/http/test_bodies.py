"""Bodies of requests: JSON by whatever name JSON has, no larger than allowed, and well formed."""

import asyncio
import json

import pytest
from fastapi import Request

from api.http.bodies import read_bounded
from api.service.refusals import TooLarge
from tests.planner_double import SMALL_CAMPAIGN


@pytest.mark.parametrize(
    ("kind", "status"),
    [
        ("application/json", 202), ("Application/JSON; charset=utf-8", 202), ("application/merge-patch+json", 202),
        # RFC 6839: a suffix of `application/`, not any type that ends so, nor any of `application/`
        ("text/x+json", 415), ("application/xml", 415), ("application/jsonl", 415), ("text/json", 415), ("", 415),
        ("text/csv", 415), ("json", 415),
    ],
)  # fmt: skip
def test_only_json_is_read(app, kind, status):
    answer = app.client.post("/v1/plans", content=json.dumps(SMALL_CAMPAIGN), headers={"Content-Type": kind})
    assert answer.status_code == status, answer.text
    if status == 415:
        assert answer.headers["accept-post"] == answer.headers["accept"] == "application/json"


@pytest.mark.parametrize("length", [None, "5", "99999999999"])
def test_a_body_that_is_too_large_is_not_read(app, length):
    """Whatever length it claims; the connection is closed, for the rest of the body may be on its way."""
    most = app.service.settings.largest_body_bytes
    headers = {"Content-Type": "application/json"} | ({} if length is None else {"Content-Length": length})

    def body():
        for _ in range(most // 65_536 + 2):
            yield b" " * 65_536

    answer = app.client.post("/v1/plans", content=body(), headers=headers)
    assert answer.status_code == 413
    assert answer.headers["connection"] == "close"
    assert str(most) in answer.json()["detail"]


@pytest.mark.parametrize("said", [True, False])
def test_a_body_of_exactly_the_most_is_read(said):
    """Whether its length is said beforehand or not; one byte more is not."""

    def read(size):
        sent = [{"type": "http.request", "body": b"x" * size, "more_body": False}]

        async def receive():
            return sent.pop()

        headers = [(b"content-length", str(size).encode())] if said else []
        return asyncio.run(read_bounded(Request({"type": "http", "headers": headers}, receive), 10))

    assert read(10) == b"x" * 10
    with pytest.raises(TooLarge):
        read(11)


@pytest.mark.parametrize(
    "text", ["", "{", '{"a": 1,}', '{"a": 1} x', "{'a': 1}", '{"a": NaN}', '{"a": 1, "a": 2}', "\xff"]
)
def test_what_is_no_json_is_said_to_be_none(app, text):
    answer = app.client.post("/v1/plans", content=text.encode("latin-1"), headers={"Content-Type": "application/json"})
    assert answer.status_code == 400
    assert answer.json()["detail"].startswith("The document cannot be read: ")

"""Answers that are kept and given again: what they say of themselves goes out with them."""

from api.http.idempotency import json_answer, response_of


def test_an_answer_keeps_its_headers():
    """Those of its own beside its kind; without any it has its kind alone."""
    made = response_of(json_answer('{"a": 1}', 201, {"Location": "/v1/plans/x", "ETag": '"1"'}))
    assert (made.status_code, bytes(made.body)) == (201, b'{"a": 1}')
    told = {name: made.headers[name] for name in ("content-type", "location", "etag")}
    assert told == {"content-type": "application/json", "location": "/v1/plans/x", "etag": '"1"'}
    assert json_answer("{}", 200).headers == {"Content-Type": "application/json"}

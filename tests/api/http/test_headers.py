"""Headers of every answer, and those that no request may bring (RFC 9110, 7.2: one host; RFC 6454, 7.1: an origin)."""

import pytest
from starlette.applications import Starlette
from starlette.responses import PlainTextResponse
from starlette.routing import Route
from starlette.testclient import TestClient

from api.http.headers import ALWAYS, SafeHeaders, UsableHosts, _unusable


def served() -> TestClient:
    def own(_request):
        return PlainTextResponse("x", headers={"Referrer-Policy": "no-referrer"})

    return TestClient(SafeHeaders(Starlette(routes=[Route("/", own)])))


def test_each_header_is_added_once_and_none_is_overruled():
    """Also to what is not found."""
    answer = served().get("/")
    assert answer.headers.get_list("referrer-policy") == ["no-referrer"]
    for name, value in ALWAYS.items():
        if name != "referrer-policy":
            assert answer.headers.get_list(name) == [value]
    assert served().get("/none").headers["x-content-type-options"] == "nosniff"


@pytest.mark.parametrize(
    ("headers", "wrong"),
    [
        ([], ""),
        ([(b"host", b"planner.example")], ""),
        ([(b"host", b"planner.example:8000"), (b"origin", b"https://planner.example:8000")], ""),
        ([(b"host", b"[::1]:8000"), (b"origin", b"null")], ""),
        ([(b"host", b"a"), (b"host", b"a")], "Host"),
        ([(b"host", b"")], "Host"),
        ([(b"host", b"a b")], "Host"),
        ([(b"host", b"a:123456")], "Host"),
        ([(b"host", b"-a")], "Host"),
        ([(b"host", b"a/@b")], "Host"),
        ([(b"host", b"a" * 253)], ""),
        ([(b"host", b"a" * 254)], "Host"),
        ([(b"origin", b"planner.example")], "Origin"),
        ([(b"origin", b"https://a"), (b"origin", b"https://a")], "Origin"),
        ([(b"x-other", b"a b"), (b"x-other", b"a b")], ""),
    ],
)
def test_a_header_that_names_no_host_is_found(headers, wrong):
    """There twice, or nothing that a name can be; 253 letters are the longest name (RFC 1035, 3.1)."""
    assert _unusable(headers) == wrong


def test_a_request_without_a_host_of_this_world_is_refused_with_the_header_named():
    plain = Starlette(routes=[Route("/", lambda _request: PlainTextResponse("x"))])
    client = TestClient(UsableHosts(plain))
    assert client.get("/").status_code == 200
    refused = client.get("/", headers={"Host": "a b"})
    assert (refused.status_code, refused.json()["errors"][0]["pointer"]) == (400, "Host")

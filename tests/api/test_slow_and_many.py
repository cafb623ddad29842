"""Whoever is slow, or many, is cut off before others have to wait: heads, bodies, connections, tries at keys."""

import contextlib
import socket
import time

import anyio
import pytest

from api.http import slow_bodies
from api.service.rate_limit import Addresses, _network
from api.service.refusals import TooLarge, TooSlow
from api.serving.slow_connections import Patient
from tests.api.app_client import served
from worker.records import keys


@contextlib.contextmanager
def listening(folder, monkeypatch, **limits: object):
    """The service listening with our protocol; gives its address."""
    for name, value in limits.items():
        monkeypatch.setattr(Patient, name, value)
    with served(folder) as (url, _):
        host, _, port = url.removeprefix("http://").partition(":")
        yield host, int(port)


def ended(connection: socket.socket) -> bool:
    """Whether the other side has hung up, after all it still had to say; waits for it."""
    said_until_the_end(connection)
    return True


def said_until_the_end(connection: socket.socket) -> bytes:
    """All that the other side says before it hangs up; waits for it."""
    connection.settimeout(30)
    told = b""
    with contextlib.suppress(ConnectionResetError):
        while more := connection.recv(10_000):
            told += more
    return told


@pytest.mark.parametrize("begin", [b"", b"GET /v1/live HT", b"GET /v1/live HTTP/1.1\r\nHost: 127.0.0.1\r\nX: "])
def test_a_head_that_never_ends_is_not_waited_for(tmp_path, monkeypatch, begin) -> None:
    """A connection that never got to a request was kept for ever."""
    with listening(tmp_path, monkeypatch, head_seconds=0.3) as address, socket.create_connection(address) as slow:
        slow.sendall(begin)
        assert ended(slow)


def test_a_second_head_has_its_own_time(tmp_path, monkeypatch) -> None:
    with listening(tmp_path, monkeypatch, head_seconds=0.5) as address, socket.create_connection(address) as slow:
        slow.sendall(b"GET /v1/live HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n")
        assert slow.recv(10_000).startswith(b"HTTP/1.1 200")
        slow.sendall(b"GET /v1/live HTTP/1.1\r\nHost: 127")
        assert ended(slow)


def test_one_address_has_so_many_connections(tmp_path, monkeypatch) -> None:
    """Loopback has no such limit, for a proxy may stand there; so the test takes that away."""
    monkeypatch.setattr(Patient, "spared", ())
    with listening(tmp_path, monkeypatch, most_of_an_address=3) as address, contextlib.ExitStack() as stack:
        first = [stack.enter_context(socket.create_connection(address)) for _ in range(3)]
        for one in first:
            one.sendall(b"GET /v1/live HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n")
            assert one.recv(10_000).startswith(b"HTTP/1.1 200")
        fourth = stack.enter_context(socket.create_connection(address))
        with contextlib.suppress(ConnectionError):
            fourth.sendall(b"GET /v1/live HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n\r\n")
        assert said_until_the_end(fourth) == b""


def body_in(messages: list[dict[str, object]]) -> int:
    """Read a body through the middleware; gives its size."""

    async def app(_scope: object, receive, _send: object) -> None:
        nonlocal size
        more = True
        while more:
            message = await receive()
            size += len(message.get("body", b""))
            more = message.get("more_body", False)

    async def receive() -> dict[str, object]:
        if not messages:
            await anyio.sleep_forever()
        return messages.pop(0)

    async def read() -> None:
        with anyio.fail_after(30):  # else a body that is waited for would hold up every other test
            await slow_bodies.Bodies(app)({"type": "http"}, receive, None)

    size = 0
    anyio.run(read)
    return size


def test_a_body_that_stops_coming_is_not_waited_for(monkeypatch) -> None:
    monkeypatch.setattr(slow_bodies, "AT_LEAST", 0.05)
    part = {"type": "http.request", "body": b"x" * 10, "more_body": True}
    with pytest.raises(TooSlow):
        body_in([part, dict(part)])
    assert body_in([part, dict(part), {"type": "http.request", "body": b"", "more_body": False}]) == 20


def test_a_body_without_end_is_refused_by_whatever_reads_it(monkeypatch) -> None:
    monkeypatch.setattr(slow_bodies, "LARGEST", 100)
    part = {"type": "http.request", "body": b"x" * 60, "more_body": True}
    with pytest.raises(TooLarge):
        body_in([part, dict(part)])


def test_an_address_that_tries_keys_is_stopped_before_they_are_looked_up(guarded_app, monkeypatch) -> None:
    looked = 0

    def look(*_: object) -> None:
        nonlocal looked
        looked += 1

    right = guarded_app.key("willow", "read")
    monkeypatch.setattr(keys, "holder_of", look)
    wrong = {"Authorization": f"Bearer sts_{'0' * 26}_{'0' * 26}"}
    seen = [guarded_app.client.get("/v1/plans", headers=wrong).status_code for _ in range(330)]
    assert seen[:250] == [401] * 250
    assert seen[-1] == 429
    assert looked == seen.count(401)
    monkeypatch.undo()
    assert guarded_app.client.get("/v1/plans", headers=right).status_code == 429


def test_an_address_is_let_in_again_and_a_whole_network_is_one(monkeypatch) -> None:
    now = [1000.0]
    monkeypatch.setattr(time, "time", lambda: now[0])
    doors = Addresses(60)
    assert [doors.wait("192.31.196.1") for _ in range(61)] == [0] * 60 + [60]
    assert doors.wait("192.31.196.2") == 0
    now[0] = 1058.6
    assert doors.wait("192.31.196.1") == 2, "whole seconds, and not too few"
    now[0] = 1060.1
    assert doors.wait("192.31.196.1") == 0
    assert _network("2620:4f:8000::1") == _network("2620:4f:8000::ffff:2") != _network("2620:4f:8000:1::1")
    assert _network("testclient") == "testclient"

"""One delivery over HTTP, to the address that was looked up and checked, and nowhere it may redirect to."""

import contextlib
import http.client
import socket
import ssl
import threading
import time

from worker.webhooks.addresses import Target

DEADLINE = 15.0
"""Seconds for the whole of a delivery: a receiver that sends a byte now and then holds nobody up."""


class _To(http.client.HTTPConnection):
    def __init__(self, target: Target, deadline: float) -> None:
        super().__init__(target.host, target.port, timeout=deadline)
        self._target, self._deadline, self._late = target, deadline, False

    def connect(self) -> None:
        plain = socket.create_connection((self._target.address, self._target.port), self._deadline)
        self.sock = plain
        if self._target.secure:
            context = ssl.create_default_context()
            # The handshake comes after the socket is known here, so that it can be cut too.
            self.sock = secure = context.wrap_socket(
                plain, server_hostname=self._target.host, do_handshake_on_connect=False
            )
            if not self._late:
                secure.do_handshake()
        if self._late:
            raise TimeoutError

    def cut(self) -> None:
        """From another thread: whatever waits for the receiver ends now."""
        self._late = True
        if isinstance(self.sock, socket.socket):
            # The plain socket's own shutdown: that of TLS would wait for the other side, and races with reading.
            with contextlib.suppress(OSError):
                socket.socket.shutdown(self.sock, socket.SHUT_RDWR)

    @property
    def late(self) -> bool:
        return self._late


def post(target: Target, headers: dict[str, str], body: str, deadline: float = DEADLINE) -> int:
    """Send it; gives the status answered. Raises TimeoutError after `deadline` seconds in all, OSError,
    http.client.HTTPException or ValueError if nobody answers."""
    connection = _To(target, deadline)
    clock = threading.Timer(deadline, connection.cut)
    clock.daemon = True
    clock.start()
    begun = time.monotonic()
    try:
        connection.request(
            "POST", target.path, body.encode(), {"Content-Type": "application/cloudevents+json", **headers}
        )
        status = connection.getresponse().status
        if connection.late:  # a head that was cut off looks like one that ended
            raise TimeoutError
        return status
    except (OSError, http.client.HTTPException, ValueError):
        if connection.late or time.monotonic() - begun >= deadline:
            raise TimeoutError from None
        raise
    finally:
        clock.cancel()
        connection.close()

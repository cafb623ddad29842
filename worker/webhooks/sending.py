"""One delivery over HTTP, to the address that was looked up and checked, and nowhere it may redirect to."""

import http.client
import socket
import ssl

from worker.webhooks.addresses import Target

TIMEOUT = 10.0
"""Seconds for each step of a delivery."""


class _To(http.client.HTTPConnection):
    def __init__(self, target: Target) -> None:
        super().__init__(target.host, target.port, timeout=TIMEOUT)
        self._target = target

    def connect(self) -> None:
        plain = socket.create_connection((self._target.address, self._target.port), TIMEOUT)
        if self._target.secure:
            context = ssl.create_default_context()
            self.sock = context.wrap_socket(plain, server_hostname=self._target.host)
        else:
            self.sock = plain


def post(target: Target, headers: dict[str, str], body: str) -> int:
    """Send it; gives the status answered. Raises OSError or http.client.HTTPException if nobody answers."""
    connection = _To(target)
    try:
        connection.request(
            "POST", target.path, body.encode(), {"Content-Type": "application/cloudevents+json", **headers}
        )
        answer = connection.getresponse()
        answer.read(1024)
        return answer.status
    finally:
        connection.close()

"""Connections that take their time: a deadline for a request's head, and a limit of how many one address may have.

Bodies have theirs in `api.http.slow_bodies`.
"""

import asyncio
from collections import Counter
from typing import Any

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol

HEAD_SECONDS = 10.0
"""From the connection, or the first byte of a further request, until its head is whole."""
MOST_OF_AN_ADDRESS = 200
"""Connections of one address. A reverse proxy on this machine, whose address is loopback, may have all there are."""
_open: Counter[str] = Counter()


class Patient(H11Protocol):
    """One connection. Uvicorn closes one that is idle between requests; one that never gets to a request it keeps."""

    head_seconds = HEAD_SECONDS
    most_of_an_address = MOST_OF_AN_ADDRESS
    spared: tuple[str, ...] = ("127.", "::1")

    def __init__(self, *given: Any, **named: Any) -> None:
        super().__init__(*given, **named)
        self._head_clock: asyncio.TimerHandle | None = None
        self._address = ""

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        super().connection_made(transport)
        self._address = str((transport.get_extra_info("peername") or ("",))[0])
        _open[self._address] += 1
        if _open[self._address] > self.most_of_an_address and not self._address.startswith(self.spared):
            transport.abort()
            return
        self._await_a_head()

    def connection_lost(self, exc: Exception | None) -> None:
        self._head_is_there()
        _open[self._address] -= 1
        if not _open[self._address]:
            del _open[self._address]
        super().connection_lost(exc)

    def data_received(self, data: bytes) -> None:
        super().data_received(data)
        if self.conn.their_state is h11.IDLE:
            self._await_a_head()
        else:
            self._head_is_there()

    def on_response_complete(self) -> None:
        super().on_response_complete()
        if self.conn.their_state is h11.IDLE and self.conn.trailing_data[0]:
            self._await_a_head()  # the beginning of a next request came with the last one

    def _await_a_head(self) -> None:
        if self._head_clock is None:
            self._head_clock = self.loop.call_later(self.head_seconds, self.transport.abort)

    def _head_is_there(self) -> None:
        if self._head_clock is not None:
            self._head_clock.cancel()
            self._head_clock = None

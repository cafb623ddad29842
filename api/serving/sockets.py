"""The sockets the service listens on: opened once, by whoever starts it, so that no other service is taken for ours.

While `./run serve` holds them nobody else can listen there, also while the API is started again.
"""

import errno
import socket


class PortTaken(Exception):
    """The service cannot listen there; says why, and what to do."""


def listen_at(host: str, port: int) -> list[socket.socket]:
    """Listening sockets at every address of the host; with port 0 any free one, the same for all. Raises PortTaken."""
    try:
        found = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE)
    except OSError as error:
        raise PortTaken(f"SHOT_TO_SHIP_HOST is {host!r}, which is no address here: {error.strerror}") from None
    sockets: list[socket.socket] = []
    try:
        for family, address in dict.fromkeys((entry[0], entry[4]) for entry in found):
            where = (address[0], sockets[0].getsockname()[1] if sockets else port)
            try:
                sockets.append(socket.create_server(where, family=family, backlog=512))
            except OSError as error:
                # `localhost` may be named for a family that this machine does not have.
                if sockets and error.errno in {errno.EADDRNOTAVAIL, errno.EAFNOSUPPORT}:
                    continue
                raise PortTaken(_said(error, host, port)) from None
        if not sockets:
            raise PortTaken(f"SHOT_TO_SHIP_HOST is {host!r}, which is no address here")
    except PortTaken:
        for one in sockets:
            one.close()
        raise
    return sockets


def port_of(sockets: list[socket.socket]) -> int:
    """The port all of them listen at."""
    return int(sockets[0].getsockname()[1])


def inherited(numbers: str) -> list[socket.socket]:
    """Sockets handed over by the process that started this one. numbers: their descriptors, with commas."""
    return [socket.socket(fileno=int(number)) for number in numbers.split(",")]


def _said(error: OSError, host: str, port: int) -> str:
    if error.errno == errno.EADDRINUSE:
        return (
            f"port {port} on {host} is in use by another program, maybe this service in another folder: end that one, "
            "or set SHOT_TO_SHIP_PORT to another port (0: any that is free)"
        )
    if error.errno in {errno.EACCES, errno.EPERM}:
        return f"port {port} on {host} may not be opened by this user: set SHOT_TO_SHIP_PORT to one above 1023"
    return f"the service cannot listen at {host}, port {port}: {error.strerror}"

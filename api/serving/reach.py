"""At which address others on the network reach this service: for codes on paper and for links that are handed on."""

import socket
from urllib.parse import urlsplit

from api.serving.strangers import LOOPBACK
from worker.settings import Settings

_ELSEWHERE = ("192.0.2.1", 9)
"""An address for documentation (RFC 5737): nothing is sent there, it only makes the system choose a way out."""
_EVERYWHERE = {"0.0.0.0", "::", ""}


def reached_at(settings: Settings, asked: str) -> str | None:
    """Where others reach it, as `http://192.168.1.20:8000`; None where only this machine does.

    asked: scheme, host and port of the request, which reached it.
    """
    if settings.public_address:
        return settings.public_address.rstrip("/")
    parts = urlsplit(asked)
    if parts.hostname not in LOOPBACK:
        return asked
    if settings.host in LOOPBACK:
        return None
    host = own_address() if settings.host in _EVERYWHERE else settings.host
    if host is None:
        return None
    scheme = "https" if settings.tls_certificate else "http"
    return f"{scheme}://{f'[{host}]' if ':' in host else host}:{parts.port or settings.port}"


def own_address() -> str | None:
    """This machine's address on its network; None where it is on none. Nothing is sent."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(_ELSEWHERE)
            address = str(probe.getsockname()[0])
        except OSError:
            return None
    return None if address in LOOPBACK or address == "0.0.0.0" else address

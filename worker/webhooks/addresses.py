"""Where a webhook may go: to public addresses only, by http or https, so that nobody makes us knock on doors inside."""

import ipaddress
import socket
from dataclasses import dataclass
from urllib.parse import urlsplit


class Forbidden(Exception):
    """The address may not be called; says why."""


@dataclass(frozen=True)
class Target:
    """Where to connect, looked up once: a name that leads elsewhere a moment later changes nothing any more."""

    secure: bool
    host: str
    port: int
    path: str
    address: str


def look_up(url: str, allow_private: bool) -> Target:
    """Resolve a webhook's URL. Raises Forbidden if it is no http(s) URL or any of its addresses is not public."""
    try:
        parts = urlsplit(url)
        port = parts.port or (443 if parts.scheme == "https" else 80)
    except ValueError:
        raise Forbidden("it is no URL") from None
    if parts.scheme not in {"http", "https"} or not parts.hostname:
        raise Forbidden("it must begin with https:// or http:// and name a host")
    if parts.username or parts.password or parts.fragment:
        raise Forbidden("it must have no user, password or fragment")
    try:
        found = socket.getaddrinfo(parts.hostname, port, type=socket.SOCK_STREAM)
    except (OSError, UnicodeError, ValueError):  # labels that are empty or too long are no names to look up
        raise Forbidden(f"the host {parts.hostname[:100]} is not known") from None
    addresses = [str(entry[4][0]) for entry in found]
    if not allow_private:
        for address in addresses:
            if not _is_public(address):
                raise Forbidden(f"the host {parts.hostname} has an address that is not public")
    path = (parts.path or "/") + (f"?{parts.query}" if parts.query else "")
    return Target(parts.scheme == "https", parts.hostname, port, path, addresses[0])


_INSIDE = tuple(
    ipaddress.IPv6Network(network)
    for network in (
        "::/96",  # IPv4-compatible, deprecated by RFC 4291, 2.5.5.1
        "64:ff9b::/96",  # translated to IPv4, RFC 6052
        "64:ff9b:1::/48",  # the same by rules of one's own, RFC 8215
        "fec0::/10",  # site-local, deprecated by RFC 3879
    )
)
"""Networks that Python calls global and that lead inside all the same."""


def _is_public(text: str) -> bool:
    address = ipaddress.ip_address(text.partition("%")[0])
    if isinstance(address, ipaddress.IPv6Address):
        # An address inside may come dressed as an IPv6 one.
        inner = address.ipv4_mapped or address.sixtofour
        if inner is not None and not _is_public(str(inner)):
            return False
        if any(address in network for network in _INSIDE):
            return False
    return address.is_global and not address.is_multicast

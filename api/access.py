"""Who asks, and what they may do: read, plan, admin.

A service that listens on this machine only asks for no key. Then a browser is the way in for strangers: a page
from elsewhere must not be able to send requests here, so such requests are known by their headers and refused.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, Literal
from urllib.parse import urlsplit

from fastapi import Depends, Request, Security
from fastapi.security import HTTPBearer
from fastapi.security.http import HTTPAuthorizationCredentials

from api.problems import NoKey, NotAllowed, TooMany, Unavailable
from api.service import Service, TheService
from worker.records import keys
from worker.records.keys import SCOPES

Scope = Literal["read", "plan", "admin"]
LOOPBACK = frozenset({"127.0.0.1", "::1", "localhost"})
bearer = HTTPBearer(auto_error=False, description="an access key; not needed on loopback", scheme_name="key")
_CHALLENGE = {"WWW-Authenticate": 'Bearer realm="Shot to Ship"'}


@dataclass(frozen=True)
class Caller:
    """Whoever sent the request."""

    workshop_id: str
    scopes: frozenset[str]


def caller_of(
    request: Request,
    service: TheService,
    given: Annotated[HTTPAuthorizationCredentials | None, Security(bearer)],
) -> Caller:
    """The caller by key, or the local workshop; raises NoKey or TooMany."""
    if request.headers.get("authorization") is None:
        return _local(request, service)
    with service.database.read() as connection:
        holder = keys.holder_of(connection, given.credentials if given else "")
    if holder is None:
        raise NoKey("This access key is unknown or was revoked.", headers=_CHALLENGE)
    wait = service.pace.wait(holder.workshop_id, holder.requests_per_minute)
    if wait > 0:
        detail = f"At most {holder.requests_per_minute} requests a minute."
        raise TooMany(detail, headers={"Retry-After": f"{wait:.0f}"})
    return Caller(holder.workshop_id, holder.scopes)


def _local(request: Request, service: Service) -> Caller:
    if service.local_workshop is None:
        raise NoKey("Send your access key as `Authorization: Bearer ...`.", headers=_CHALLENGE)
    host = request.headers.get("host", "")
    if urlsplit(f"//{host}").hostname not in LOOPBACK:
        raise NotAllowed(f"Ask for this service by a loopback address, not as `{host[:60]}`.")
    origin = request.headers.get("origin")
    if (origin is not None and urlsplit(origin).netloc != host) or request.headers.get(
        "sec-fetch-site", "same-origin"
    ) not in {"same-origin", "none"}:
        raise NotAllowed("Pages from elsewhere may not ask here.")
    return Caller(service.local_workshop, frozenset(SCOPES))


def may(scope: Scope) -> Callable[..., Caller]:
    """A dependency that lets only callers with that scope through."""

    def allowed(caller: Annotated[Caller, Depends(caller_of)]) -> Caller:
        if scope not in caller.scopes:
            raise NotAllowed(f"This needs a key with the scope `{scope}`.")
        return caller

    return allowed


Reader = Annotated[Caller, Depends(may("read"))]
Submitter = Annotated[Caller, Depends(may("plan"))]
Admin = Annotated[Caller, Depends(may("admin"))]
REFUSALS = (NoKey, NotAllowed, TooMany, Unavailable)
"""What every route behind a key may answer; added to each router's OpenAPI."""

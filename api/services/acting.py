"""Who is asking in this request, for what is written down of it and for pages that offer only what may be done."""

from contextvars import ContextVar
from dataclasses import dataclass

HERE = "this machine"
"""Whoever asks where no key is asked for."""


@dataclass(frozen=True)
class Acting:
    """who: the label of the key or link; scopes: what it may do. signed_in: by a session that can be ended. link: what
    the link is for that opened this plan; "": no link did."""

    who: str = HERE
    scopes: frozenset[str] = frozenset()
    signed_in: bool = False
    link: str = ""


_NOBODY = Acting()
_acting: ContextVar[Acting] = ContextVar("acting", default=_NOBODY)


def begin(acting: Acting) -> None:
    """From here on in this request."""
    _acting.set(acting)


def now_acting() -> Acting:
    """Nobody in particular outside a request."""
    return _acting.get()

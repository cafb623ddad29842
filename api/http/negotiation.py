"""Which form of a document the client would like best (RFC 9110, 12.5.1), and what it said it prefers."""

import re
from typing import Any

from api.service.refusals import NotAcceptable

_LONGEST_WAIT = 60.0


def choose(accept: str | None, offered: list[str]) -> str:
    """The media type out of `offered` (best first) that `accept` likes most.

    Raises NotAcceptable, naming what there is.
    """
    if not accept:
        return offered[0]
    wishes = [_wish(part) for part in accept.split(",") if part.strip()]
    liked = {kind: _liking(kind, wishes) for kind in offered}
    best = max(offered, key=lambda kind: liked[kind])  # the first of equals
    if liked[best] <= 0:
        raise NotAcceptable(f"There is {', '.join(offered)}; `Accept` names none of them.")
    return best


def also_as(*forms: str) -> dict[int | str, dict[str, Any]]:
    """What OpenAPI says of an answer that may also be text of these forms, beside the model its route names."""
    return {200: {"content": {form: {"schema": {"type": "string"}} for form in forms}}}


def _wish(part: str) -> tuple[str, float]:
    kind, *parameters = (piece.strip() for piece in part.split(";"))
    quality = 1.0
    for parameter in parameters:
        name, _, value = parameter.partition("=")
        if name.strip().lower() == "q":
            quality = float(value) if re.fullmatch(r"[01](\.\d{0,3})?", value.strip()) else 0.0
    return kind.lower(), quality


def _liking(kind: str, wishes: list[tuple[str, float]]) -> float:
    family = kind.partition("/")[0] + "/*"
    for pattern in (kind, family, "*/*"):  # the most exact wish counts
        qualities = [quality for wish, quality in wishes if wish == pattern]
        if qualities:
            return max(qualities)
    return 0.0


def prefers_async(prefer: str | None) -> bool:
    """Whether `Prefer: respond-async` (RFC 7240) asks for an answer at once, finished or not."""
    return re.search(r"(?:^|[,;\s])respond-async(?:$|[,;\s])", prefer or "", re.IGNORECASE) is not None


def preferred_wait(prefer: str | None) -> float:
    """Seconds of `Prefer: wait=N` (RFC 7240), at most 60; 0 if it says nothing of the kind."""
    match = re.search(r"(?:^|[,;\s])wait\s*=\s*\"?(\d{1,6})\"?(?:$|[,;\s])", prefer or "", re.IGNORECASE)
    return min(float(match.group(1)), _LONGEST_WAIT) if match else 0.0

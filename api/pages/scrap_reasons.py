"""Why parts were scrapped and presses stood still, as people at the press write it: `3 flash, 2 short shot`, or one
reason for all of them."""

import re
from typing import Any

from api.languages import gettext

_COUNTED = re.compile(r"(?P<n>\d{1,7})\s*(?:x|×)?\s+(?P<reason>\D.*)")
LONGEST = 60
"""Characters of a reason."""


def usual() -> list[str]:
    """Faults of moulded parts that the trade has a word for, to choose from; any other words do as well."""
    return [
        gettext("short shot"), gettext("flash"), gettext("sink mark"), gettext("burn mark"), gettext("silver streaks"),
        gettext("warped"), gettext("black specks"), gettext("wrong colour"), gettext("damaged"),
    ]  # fmt: skip


def usual_stops() -> list[str]:
    """What presses wait for, to choose from; any other words do as well."""
    return [
        gettext("no material"), gettext("material not dry"), gettext("no setter"), gettext("tool fault"),
        gettext("press fault"), gettext("waiting for quality"), gettext("bins full"), gettext("no power"),
    ]  # fmt: skip


def stopped_by_reason(entries: list[dict[str, Any]]) -> dict[str, float]:
    """Hours that a press stood still, by what was said of it; "": nothing. entries: of the log, of that press."""
    hours: dict[str, float] = {}
    for entry in entries:
        if entry["what"] == "downtime":
            reason = entry.get("note") or ""
            hours[reason] = hours.get(reason, 0.0) + entry["hours"]
    return hours


def by_reason(text: str, scrap: int | None, problems: dict[str, str]) -> dict[str, int]:
    """Scrapped parts by reason; scrap: how many were counted, none: nobody did."""
    pieces = [piece.strip() for piece in re.split(r"[,;]", text) if piece.strip()]
    counted = [_COUNTED.fullmatch(piece) for piece in pieces]
    if pieces and not any(counted):
        return {text[:LONGEST]: scrap} if scrap else {}
    found: dict[str, int] = {}
    for piece, match in zip(pieces, counted, strict=True):
        if match is None:
            problems["why"] = gettext("say how many: %(piece)s; write 3 flash, 2 short shot") % {"piece": piece}
            return {}
        reason = match["reason"][:LONGEST].strip()
        found[reason] = found.get(reason, 0) + int(match["n"])
    if scrap is not None and sum(found.values()) > scrap:
        said = {"n": sum(found.values()), "scrap": scrap}
        problems["why"] = gettext("%(n)s parts by reason, but only %(scrap)s scrapped") % said
    return found

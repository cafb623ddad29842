"""Prices by number, weights and days as a maker types them into one field: `1000 at 0.42; 5000 at 0.35`."""

import re
from collections.abc import Callable, Iterable

from api.pages.measures import figure
from api.pages.shorthand import listed

_DAYS = re.compile(r"(?P<what>.*?)\s*(?P<few>\d{1,3})(?:\s*(?:-|–|to)\s*(?P<most>\d{1,3}))?\s*(?:days?)?", re.I | re.S)

_PART = re.compile(r"(?P<share>\d+(?:[.,]\d+)?)\s*(?P<percent>%)?\s*after\s*(?P<days>\d{1,3})\s*(?:days?)?", re.I)


def at_prices(text: str, currency: str) -> list[tuple[str, float]]:
    """`1000 at 0.42; 5000 at 0.35` as what stands before each price, and the price. Raises ValueError."""
    found = []
    for one in listed(text, ";"):
        what, cut, price = one.rpartition(" at ")
        if not cut or not what.strip():
            raise ValueError(f"{one[:40]!r} gives no price; write it like 1000 at 0.42; 5000 at 0.35")
        found.append((what.strip(), _figure(price.strip(), "price", currency)))
    return found


def numbers_at_prices(text: str, field: str, currency: str) -> list[tuple[float, float]]:
    """The same where what stands before each price is a number, in the unit of the field."""
    return [(_figure(what, field, currency), price) for what, price in at_prices(text, currency)]


def said_prices(rows: Iterable[tuple[object, object]], say: Callable[[object], str]) -> str:
    """As `at_prices` reads it."""
    return "; ".join(f"{say(what)} at {say(price)}" for what, price in rows)


def in_parts(text: str) -> list[tuple[float, int]]:
    """`0.4 after 0; 60 % after 7` as shares of an order and days after its first. Raises ValueError."""
    found = []
    for one in listed(text, ";"):
        match = _PART.fullmatch(one)
        if match is None:
            raise ValueError(
                f"{one[:40]!r} is no lot; write its share and days after the first: 0.4 after 0; 0.6 after 7"
            )
        share = float(match["share"].replace(",", "."))
        found.append((round(share / 100, 9) if match["percent"] else share, int(match["days"])))
    return found


def said_parts(rows: Iterable[tuple[object, object]], say: Callable[[object], str]) -> str:
    """As `in_parts` reads it."""
    return "; ".join(f"{say(share)} after {say(days)}" for share, days in rows)


def legs(text: str) -> list[tuple[str, tuple[int, int]]]:
    """`at sea 24-31; customs 2-6` as what each is and its days, fewest and most. Raises ValueError."""
    found = []
    for one in listed(text, ";"):
        match = _DAYS.fullmatch(one)
        if match is None or not match["what"].strip():
            raise ValueError(f"{one[:40]!r} is no leg; write what it is and its days, like at sea 24-31")
        found.append((match["what"].strip(), _span(match)))
    return found


def days(text: str) -> tuple[int, int] | None:
    """`1-3` as fewest and most days, `2` as both; none where nothing is said. Raises ValueError."""
    if not text.strip():
        return None
    match = _DAYS.fullmatch(text.strip())
    if match is None or match["what"].strip():
        raise ValueError(f"{text[:40]!r} gives no days; write 1-3, fewest and most")
    return _span(match)


def said_days(span: Iterable[object]) -> str:
    """As `days` reads it."""
    return "-".join(dict.fromkeys(map(str, span)))


def _span(match: re.Match[str]) -> tuple[int, int]:
    few = int(match["few"])
    return few, int(match["most"] or few)


def _figure(text: str, field: str, currency: str) -> float:
    value = figure(text, field, currency)
    return int(value) if value.is_integer() else value

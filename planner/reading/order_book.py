"""An order book read by what its lines say: lines that differ in number and reference alone are read once.

A large book says few different things, and reading each line by itself was most of reading a campaign. Whatever is
unusual about a line is left to the ordinary reading, which also tells what is wrong.
"""

import marshal
from collections.abc import Iterator
from typing import Any

from pydantic import ValidationError

from planner.campaign.orders import LONGEST_REF, MOST_ORDERS, OrderLine

_FEW = 50
"""Lines that are not worth looking through."""


def with_lines_alike(data: object) -> object:
    """Plain data of a campaign with its order lines read; the data itself where there are few, or one cannot be."""
    if not isinstance(data, dict):
        return data
    lines = data.get("orders")
    if not isinstance(lines, list) or len(lines) < _FEW:
        return data
    try:
        return {**data, "orders": list(_lines(lines))}
    except ValidationError:
        return data


def _lines(lines: list[Any]) -> Iterator[OrderLine]:
    """Raises ValidationError at the first line that cannot be read."""
    known: dict[bytes, OrderLine] = {}
    for data in lines:
        key = _contents(data)
        if key is None:
            yield OrderLine.model_validate(data)
        elif key in known:
            yield known[key].again(data.get("ref", ""), data.get("count", 1))
        else:
            known[key] = line = OrderLine.model_validate(data)
            yield line


def _contents(data: Any) -> bytes | None:
    """All that a line says but its number and reference, in bytes that are equal only where that is; none where it is
    to be read by itself."""
    if type(data) is not dict:
        return None
    rest = data.copy()
    ref, count = rest.pop("ref", ""), rest.pop("count", 1)
    if type(ref) is not str or len(ref) > LONGEST_REF or not ref.isascii() or ref != ref.strip():
        return None
    if type(count) is not int or not 1 <= count <= MOST_ORDERS:
        return None
    try:
        return marshal.dumps((rest, "ref" in data, "count" in data), 2)
    except ValueError:  # holds what JSON does not
        return None

"""What is not the same in two campaign documents, value by value, and in words."""

from collections.abc import Iterator, Mapping
from typing import Any

from planner.campaign.pointers import pointer

MOST_SAID = 12
"""Values said as changed; more are counted."""


def differences(before: Any, after: Any, *steps: str | int) -> Iterator[tuple[str, Any, Any]]:
    """(pointer, before, after) of each value that is not the same; None where there is none."""
    if isinstance(before, dict) and isinstance(after, dict):
        for key in [*before, *(key for key in after if key not in before)]:
            yield from differences(before.get(key), after.get(key), *steps, key)
    elif isinstance(before, list) and isinstance(after, list) and len(before) == len(after):
        for n, (one, other) in enumerate(zip(before, after, strict=True)):
            yield from differences(one, other, *steps, n)
    elif before != after:
        yield pointer(*steps), before, after


def differences_said(before: Mapping[str, Any], after: Mapping[str, Any]) -> str:
    """`tools, lid, cycle_s: 45, now 38; and 3 more`; orders are counted. Nothing for documents that say the same.

    The order of work that a search begins from is no difference."""
    was, now = (_without_order_of_work(one) for one in (before, after))
    orders = tuple(len(one.pop("orders", None) or []) for one in (was, now))
    found = [f"{_place(where)}: {_short(one)}, now {_short(other)}" for where, one, other in differences(was, now)]
    if (before.get("orders") or []) != (after.get("orders") or []):
        same = "other orders" if orders[0] == orders[1] else f"{orders[0]:,} order lines, now {orders[1]:,}"
        found.insert(0, same)
    more = len(found) - MOST_SAID
    return "; ".join(found[:MOST_SAID]) + (f"; and {more} more" if more > 0 else "")


def _without_order_of_work(document: Mapping[str, Any]) -> dict[str, Any]:
    planning = {name: value for name, value in (document.get("planning") or {}).items() if name != "begin_from"}
    return {**document, "planning": planning}


def _place(where: str) -> str:
    steps = [step.replace("~1", "/").replace("~0", "~") for step in where.split("/")[1:]]
    return ", ".join(str(int(step) + 1) if step.isdecimal() else step for step in steps)


def _short(value: Any) -> str:
    if value is None:
        return "nothing"
    if isinstance(value, dict | list):
        return "another list" if isinstance(value, list) else "other entries"
    text = str(value)
    return text if len(text) <= 60 else text[:59] + "…"

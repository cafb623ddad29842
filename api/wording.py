"""What pydantic found wrong, said so that a maker knows which field of which thing to change, and how."""

from collections.abc import Sequence
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from planner.errors import Problem

# Collections of the campaign document, and what one of their members is called.
_MEMBERS = {
    "presses": "press",
    "tools": "tool",
    "resins": "resin",
    "colours": "colour",
    "parts": "part",
    "pieces": "piece",
    "products": "product",
    "colourways": "colourway",
    "tiers": "tier",
    "orders": "order line",
    "barrels": "barrel",
    "regions": "region",
    "forbidden_pairs": "forbidden pair",
}
_MOST = 100
"""Problems told at once; beyond this a document is wrong as a whole."""


def problems_in(error: ValidationError, document: Any) -> list[Problem]:
    """Every problem pydantic found, each with its pointer, in the maker's words; at most 100."""
    found: dict[tuple[str, str], Problem] = {}
    for detail in error.errors(include_url=False):
        path = _path(detail["loc"], document)
        message, remedy = _sentence(detail, path)
        problem = Problem(pointer(path), f"{_place(path)}{message}", remedy)
        found.setdefault((problem.pointer, problem.message), problem)
    told = list(found.values())
    if len(told) > _MOST:
        more = Problem("", f"and {len(told) - _MOST} more problems", "mend these first, then send it again")
        return [*told[:_MOST], more]
    return told


def pointer(path: Sequence[int | str]) -> str:
    """JSON Pointer (RFC 6901)."""
    return "".join("/" + str(step).replace("~", "~0").replace("/", "~1") for step in path)


def _path(loc: tuple[int | str, ...], document: Any) -> list[int | str]:
    """The steps of `loc` that lead through the document; pydantic adds names of union branches to it."""
    path: list[int | str] = []
    here = document
    for index, step in enumerate(loc):
        last = index == len(loc) - 1
        if (isinstance(here, dict) and step in here) or (
            isinstance(here, list) and isinstance(step, int) and step < len(here)
        ):
            path.append(step)
            here = here[step]  # type: ignore[index]
        elif last and isinstance(here, dict) and step != "[key]":
            path.append(step)
    return path


def _place(path: Sequence[int | str]) -> str:
    """Names the innermost thing a maker knows by name, then the field: "tool `rim`: `cycle_seconds` "."""
    thing, rest = "", list(path)
    for index in range(len(path) - 1):
        member = _MEMBERS.get(str(path[index]))
        if member is not None:
            name = path[index + 1]
            shown = f"{name + 1}" if isinstance(name, int) else f"`{name}`"
            thing, rest = f"{thing}{member} {shown}: ", list(path[index + 2 :])
    field = ".".join(str(step + 1) if isinstance(step, int) else str(step) for step in rest)
    return f"{thing}`{field}` " if field else thing or "the document "


def _sentence(detail: ErrorDetails, path: Sequence[int | str]) -> tuple[str, str]:
    context: dict[str, Any] = detail.get("ctx") or {}
    given = _short(detail["input"])
    match detail["type"]:
        case "missing":
            return "is missing", f"add `{path[-1] if path else 'it'}`"
        case "extra_forbidden":
            return "is not a field known here", "check the spelling, or take it out"
        case "greater_than" | "greater_than_equal" | "less_than" | "less_than_equal" as kind:
            words = {
                "greater_than": "more than",
                "greater_than_equal": "at least",
                "less_than": "less than",
                "less_than_equal": "at most",
            }[kind]
            bound = next(iter(context.values()))
            return f"is {given}", f"it must be {words} {bound}"
        case "string_pattern_mismatch":
            return f"is {given}, which does not have the form expected", f"it must match {context['pattern']}"
        case "literal_error" | "enum":
            return f"is {given}", f"it must be {context['expected']}"
        case "too_short" | "string_too_short":
            return "has too little in it", f"it needs at least {context['min_length']}"
        case "too_long" | "string_too_long":
            return "has too much in it", f"it takes at most {context['max_length']}"
        case "value_error" | "assertion_error":
            return f"is {given}: {context.get('error', detail['msg'])}", "change it so that it fits"
        case _:
            return f"is {given}", _expected(detail["msg"])


def _expected(message: str) -> str:
    text = message.removeprefix("Input should be ").replace("Input should ", "it should ")
    return text if text.startswith("it should") else f"it must be {text}"


def _short(value: Any) -> str:
    shown = ascii(value) if not isinstance(value, dict | list) else ("a list", "an object")[isinstance(value, dict)]
    return shown if len(shown) <= 60 else shown[:57] + "..."

"""What pydantic finds wrong with a field, in the maker's words."""

from collections.abc import Mapping, Sequence
from typing import Any

from planner.campaign.base import CURRENCY_PATTERN, HEX_PATTERN, MELT_PATTERN, NAME_PATTERN, TIME_PATTERN
from planner.reading.checks.names import SINGULAR

MONEY_NOTE = "write numbers without units or thousands separators, with a point"

LIMITS = {
    "greater_than": ("gt", "must be more than"),
    "greater_than_equal": ("ge", "must be at least"),
    "less_than": ("lt", "must be less than"),
    "less_than_equal": ("le", "must be at most"),
}
NOT_A = {
    "dict_type": ("a group of named fields", 'write it in braces: {"name": ...}'),
    "model_type": ("a group of named fields", 'write it in braces: {"name": ...}'),
    "model_attributes_type": ("a group of named fields", 'write it in braces: {"name": ...}'),
    "list_type": ("a list", "write it in brackets: [ ... ]"),
    "tuple_type": ("a list", "write it in brackets: [ ... ]"),
    "string_type": ("a text", "write it in quotes"),
    "bool_type": ("true or false", "write true or false"),
    "bool_parsing": ("true or false", "write true or false"),
    "int_type": ("a whole number", MONEY_NOTE),
    "int_parsing": ("a whole number", MONEY_NOTE),
    "int_from_float": ("a whole number", "round it"),
    "int_parsing_size": ("a number of a sensible size", "check its digits"),
    "float_type": ("a number", MONEY_NOTE),
    "float_parsing": ("a number", MONEY_NOTE),
    "finite_number": ("a finite number", "give a real quantity"),
}
PATTERNS = {
    NAME_PATTERN: (
        "holds a mark nobody can see",
        "write it anew on one line, without control characters and marks that turn the direction of writing",
    ),
    MELT_PATTERN: ("is no melt", "write the names of resin and colour as `resin/colour`, e.g. `pp/sage`"),
    "^[A-Z]{2}$": ("is no country code", "use ISO 3166-1 alpha-2, e.g. GB"),
    r"^\d{6,12}$": ("is no commodity code", "write 6 to 12 digits without points or blanks, e.g. 392490"),
    CURRENCY_PATTERN: ("is no currency code", "use ISO 4217, e.g. EUR"),
    HEX_PATTERN: ("is no sRGB colour", "write it like #8fae8b"),
    TIME_PATTERN: ("is no time of day", "write it like 16:00"),
}


def said(
    kind: str, message: str, context: Mapping[str, Any], steps: Sequence[str | int], value: object
) -> tuple[str, str]:
    """(what is wrong, remedy) for one of pydantic's findings at a field."""
    words, remedy = _said(kind, message, context, steps, value)
    return _place(steps) + words, remedy


def _place(steps: Sequence[str | int]) -> str:
    """The thing a field belongs to, by the name the maker gave it: "tool `rim`: "."""
    if len(steps) > 2 and steps[0] in SINGULAR:
        return f"{SINGULAR[str(steps[0])]} `{steps[1]}`: "
    if len(steps) > 2 and steps[0] == "orders" and isinstance(steps[1], int):
        return f"order line {steps[1] + 1}: "
    return ""


def _said(
    kind: str, message: str, context: Mapping[str, Any], steps: Sequence[str | int], value: object
) -> tuple[str, str]:
    name = _name(steps)
    found = _short(value)
    if kind == "missing":
        return f"{name} is missing", "add it"
    if kind == "extra_forbidden":
        return f"{name} is not a field the campaign document knows here", "check its spelling, or take it out"
    if kind in NOT_A:
        what, remedy = NOT_A[kind]
        return f"{name} should be {what}, not {found}", remedy
    if kind in LIMITS:
        key, words = LIMITS[kind]
        return f"{name} is {found} and {words} {context[key]:g}", "correct the figure; mind its unit"
    if kind == "string_pattern_mismatch":
        words, remedy = PATTERNS.get(str(context["pattern"]), ("is not in the form asked for", "see the schema"))
        return f"{found} {words}", remedy
    if kind == "literal_error":
        return f"{name} is {found}, which is not one of its choices", f"use {context['expected']}"
    if kind in ("too_short", "too_long"):
        bound = context["min_length"] if kind == "too_short" else context["max_length"]
        few = "few" if kind == "too_short" else "many"
        edge = "at least" if kind == "too_short" else "at most"
        return f"{name} holds too {few} entries", f"give {edge} {bound}"
    if kind in ("string_too_short", "string_too_long"):
        return f"{name} is too {'short' if 'short' in kind else 'long'}", message.lower()
    if kind == "value_error":
        what, _, remedy = str(context["error"]).partition("; ")
        return f"{name}: {what}", remedy
    if kind.startswith(("date", "datetime", "timezone")):
        return f"{name} is {found}, which is no date or wall-clock moment", "write 2027-01-11 or 2027-01-11T06:00"
    return f"{name}: {message}", "see the schema of the campaign document"


def _name(steps: Sequence[str | int]) -> str:
    """A field as a message names it: its own name, or its place in the list it stands in."""
    if not steps:
        return "the campaign"
    if isinstance(steps[-1], int):
        owner = next((f" of `{step}`" for step in reversed(steps) if isinstance(step, str)), "")
        return f"entry {steps[-1] + 1}{owner}"
    return f"`{steps[-1]}`"


def _short(value: object) -> str:
    """A value as a message can show it."""
    if isinstance(value, dict):
        return "a group of named fields"
    if isinstance(value, list | tuple):
        return "a list"
    if value is None:
        return "nothing"
    text = ascii(value) if isinstance(value, str) else repr(value)
    return f"`{text[:40].strip(chr(39))}{'...' if len(text) > 40 else ''}`"

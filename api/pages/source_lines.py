"""On which line of a JSON text a JSON Pointer (RFC 6901) points, so that a person can find the field."""

import json
import re
from collections.abc import Sequence
from dataclasses import dataclass

from planner.errors import Problem

_SPACE = re.compile(r"[ \t\r\n\ufeff]*")
_decoder = json.JSONDecoder()


@dataclass(frozen=True)
class LocatedProblem:
    """A problem and its line in the text, from 1; 0: of the whole."""

    line: int
    pointer: str
    message: str
    remedy: str


def with_lines(text: str, problems: Sequence[Problem]) -> list[LocatedProblem]:
    """The problems in the order of their lines."""
    told = [LocatedProblem(line_of(text, p.pointer), p.pointer, p.message, p.remedy) for p in problems]
    return sorted(told, key=lambda one: (one.line, one.pointer))


def line_of(text: str, pointer: str) -> int:
    """The line of the field, or of the deepest field above it that is there; 0 if the text cannot be read."""
    at, found = _skip(text, 0), 0
    try:
        for step in pointer.split("/")[1:]:
            at, known = _into(text, at, step.replace("~1", "/").replace("~0", "~"))
            found = text.count("\n", 0, at) + 1
            if not known:
                break
    except (ValueError, IndexError, StopIteration):
        return found
    return found


def _into(text: str, at: int, step: str) -> tuple[int, bool]:
    """Where the value named `step` begins within the object or list at `at`; the container itself if it has none."""
    container, kind = at, text[at]
    if kind not in "{[":
        return container, False
    at, place = _skip(text, at + 1), 0
    while text[at] not in "}]":
        name = str(place)
        if kind == "{":
            name, at = _decoder.raw_decode(text, at)
            at = _skip(text, _skip(text, at) + 1)
        if name == step:
            return at, True
        _, at = _decoder.raw_decode(text, at)
        at, place = _skip(text, at), place + 1
        if text[at] == ",":
            at = _skip(text, at + 1)
    return container, False


def _skip(text: str, at: int) -> int:
    match = _SPACE.match(text, at)
    assert match is not None
    return match.end()

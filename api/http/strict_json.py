"""JSON as RFC 8259 means it, without the surprises: no name twice, no NaN, not endless, not bottomless."""

import json
import math
import re
from collections import Counter
from functools import lru_cache
from itertools import accumulate
from typing import Any, NoReturn

from planner.campaign.base import tidy

_TEXT = re.compile(rb'"(?:[^"\\]|\\.)*"', re.DOTALL)
_NO_BRACKETS = bytes(set(range(256)) - set(b"[]{}"))
_STEPS = bytes.maketrans(b"[{]}", bytes((2, 2, 0, 0)))
"""An opening bracket is one level more, a closing one less: one above 1 and one below it."""
_SURROGATE = re.compile(r"[\ud800-\udfff]")
LONGEST_NUMBER = 40
SHORT = 8 * 1024
"""Bytes that are parsed in a millisecond or two at the most; handing them to a thread takes about as long."""
_LONG_NUMBER = re.compile(rb"\d{%d}" % LONGEST_NUMBER)


class NotJson(ValueError):
    """What is wrong, in one sentence; line and column where known."""


def parse(body: bytes, deepest: int) -> Any:
    """The document in `body` (UTF-8).

    Raises NotJson for anything that is not JSON, is nested deeper than `deepest`, says a name twice in one
    object, has a number that is not finite or has more than 40 characters, or text that is not Unicode.
    """
    try:
        text = body.decode("utf-8")
    except UnicodeDecodeError as error:
        raise NotJson(f"it is not UTF-8: byte {error.start} does not fit; save the file as UTF-8") from None
    text = text.removeprefix("\ufeff")
    _check_depth(body, deepest)
    # Most documents hold no escape that could spell half a character or a null, and no number as long as that: only
    # where there might be some is each text and each whole number looked at.
    look = b"\\u" in body
    try:
        return json.loads(
            text,
            object_pairs_hook=_object_of_texts if look else _object,
            parse_constant=_no_constant,
            parse_float=_float,
            parse_int=_int if _LONG_NUMBER.search(body) else None,
            strict=True,
        )
    except json.JSONDecodeError as error:
        raise NotJson(f"line {error.lineno}, column {error.colno}: {error.msg}") from None
    except RecursionError:
        raise NotJson(f"it is nested deeper than {deepest} levels") from None


def parse_short(body: bytes, deepest: int) -> Any:
    """As `parse`, for a body of at most SHORT bytes, which may be parsed where it arrives."""
    if len(body) > SHORT:
        raise ValueError(f"a body of {len(body)} bytes is not short")
    return parse(body, deepest)


def _check_depth(body: bytes, deepest: int) -> None:
    brackets = _TEXT.sub(b"", body).translate(_STEPS, _NO_BRACKETS)
    if len(brackets) > deepest and max(accumulate(step - 1 for step in brackets)) > deepest:
        raise NotJson(f"it is nested deeper than {deepest} levels")


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    made = dict(pairs)
    if len(made) != len(pairs):
        twice = next(name for name, times in Counter(name for name, _ in pairs).items() if times > 1)
        raise NotJson(f"the name {twice[:60]!a} stands twice in one object; keep one of them")
    if len(set(map(_tidied, made))) < len(made):
        twins = Counter(map(_tidied, made))
        raise NotJson(f"the name {twins.most_common(1)[0][0][:60]!a} stands twice in one object, with other blanks")
    return made


@lru_cache(maxsize=1024)
def _tidied(name: str) -> str:
    """A document says the same few names over and over."""
    return tidy(name)


def _object_of_texts(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    for name, value in pairs:
        _check_text(name)
        _check_values(value)
    return _object(pairs)


def _check_values(value: Any) -> None:
    # Objects check their own; what is left are texts, alone or in lists.
    if isinstance(value, str):
        _check_text(value)
    elif isinstance(value, list):
        for item in value:
            _check_values(item)


def _check_text(text: str) -> None:
    if "\x00" in text or _SURROGATE.search(text):
        raise NotJson(f"the text {text[:40]!a} holds half a character or a null; retype it")


def _no_constant(name: str) -> NoReturn:
    raise NotJson(f"{name} is no number; leave the field out or write a number")


def _float(text: str) -> float:
    value = float(text)
    if not math.isfinite(value) or len(text) > LONGEST_NUMBER:
        raise NotJson(f"the number {text[:20]}... is out of all bounds")
    return value


def _int(text: str) -> int:
    if len(text) > LONGEST_NUMBER:
        raise NotJson(f"the number {text[:20]}... has more than {LONGEST_NUMBER} digits")
    return int(text)

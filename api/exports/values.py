"""What a cell of a list may hold, and how text is kept from being run as a formula."""

import re
from datetime import date, datetime
from typing import Literal, NamedTuple


class Calculated(NamedTuple):
    """A figure that a workbook works out anew. formula: `[Heading]` is that column's cell in the same row, `[Heading]^`
    the cells above it, `[Heading]^^` those and its own. value: what it comes to."""

    formula: str
    value: float


Value = str | int | float | bool | date | datetime | Calculated | None
Form = Literal["", "count", "amount", "share", "long", "figure"]
"""How a column is written: whole numbers, two places, per cent, wrapped text; `figure`: whole where it is whole."""

# Characters at which spreadsheet programs begin to calculate, half and full width; white space before does not help.
_CALCULATES = re.compile(r"\s*[=+\-@|%\uff1d\uff0b\uff0d\uff20]")
_ILLEGAL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")

LONGEST_TEXT = 32_767
"""Characters in one cell that common spreadsheet programs take."""


def calculates(text: str) -> bool:
    """Whether a spreadsheet program might take a text for a formula, or a command behind one."""
    return bool(_CALCULATES.match(text)) or text[:1] in ("\t", "\r", "\n")


def clean(text: str) -> str:
    """Text without characters that XML forbids, cut to what a cell can hold."""
    text = _ILLEGAL.sub("\ufffd", text)
    return text if len(text) <= LONGEST_TEXT else text[: LONGEST_TEXT - 1] + "…"

"""What one cell says: counts, dates, texts. Each reader gives a value or raises Spoiled with reason and remedy."""

import re
from datetime import date, datetime
from html import unescape
from typing import Literal

from api.uploads.limits import Limits
from api.uploads.personal import shown
from api.uploads.rows import Cell, Formula

DateOrder = Literal["dmy", "mdy"]
DATE_ORDERS: tuple[DateOrder, ...] = ("dmy", "mdy")
"""How a day written with slashes or dots may be meant."""
_MOST = 1_000_000
_WHOLE = re.compile(r"\+?\d{1,9}(?:[.,]0{1,2}|\.0{4,6})?")
_THOUSANDS = re.compile(r"\d{1,3}(?:([,.' \u00a0\u202f\u2019])\d{3})(?:\1\d{3})*")
_DRESSED = re.compile(
    r"(?:x|×)?\s*([\d.,' \u00a0\u202f\u2019]*\d)\s*(?:x|×|pcs?\.?|pieces?|stk\.?|orders?|units?)?", re.I
)
_ISO_DATE = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})(?:[T ].*)?")
_OTHER_DATE = re.compile(r"(\d{1,2})[./-](\d{1,2})[./-](\d{4})(?: .*)?")
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ufffd\ud800-\udfff\u202a-\u202e\u2066-\u2069]")
_BREAK = re.compile(r"<br\s*/?>", re.IGNORECASE)
_YES, _NO = {"yes", "y", "x", "true", "1", "ja", "oui", "si"}, {"no", "n", "false", "0", "nein", "non", "-"}


class Spoiled(Exception):
    """A cell that cannot be used.

    wording: the words nobody knows, where that is why; near: the id they are nearest to.
    refund_in: the column that speaks of a refund, where that is why.
    """

    def __init__(
        self, reason: str, remedy: str, wording: str = "", near: str | None = None, refund_in: str = ""
    ) -> None:
        self.reason, self.remedy = reason, remedy
        self.wording, self.near, self.refund_in = wording, near, refund_in
        super().__init__(reason)


def text_of(cell: Cell, limits: Limits) -> str:
    """The cell's text; a number loses the `.0` that spreadsheets add, and what a web page wrote (`&amp;`, `<br>`) is
    read as it showed there."""
    if type(cell) is str:
        if len(cell) > limits.cell_chars:
            raise Spoiled(f"holds {len(cell)} characters", f"keep cells within {limits.cell_chars}")
        if not (cell.isascii() and cell.isprintable()) and _CONTROL.search(cell):
            raise Spoiled("holds characters that cannot be read", "save the file as UTF-8, or type the cell again")
        if "<" in cell or ("&" in cell and ";" in cell):
            cell = unescape(_BREAK.sub("\n", cell))
        return cell.strip()
    if cell is None:
        return ""
    if isinstance(cell, Formula):
        raise Spoiled("holds a formula", "copy the column and paste it as values")
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, float) and cell.is_integer():
        return str(int(cell))
    return str(cell)


MOST_OF_AN_ADD_ON = 1000
"""As many as the campaign document takes in one order line."""


def count_of(text: str) -> int:
    """A whole number of orders or pieces, 0 to a million: `1200`, `1,200`, `1 200`, `2.0`, `x3`, `3 pcs`."""
    dressed = _DRESSED.fullmatch(text)
    digits = dressed[1] if dressed else text
    if digits.endswith(".000"):
        raise Spoiled(f"{shown(text)!r} may be {digits[:-4]} or {digits[:-4]} thousand", "write digits only")
    if digits.isascii() and _WHOLE.fullmatch(digits):
        number = int(re.split("[.,]", digits)[0])
    elif _THOUSANDS.fullmatch(digits):
        number = int(re.sub(r"\D", "", digits))
    else:
        raise Spoiled(f"{shown(text)!r} is not a whole number", "write digits only")
    if number > _MOST:
        raise Spoiled(f"{number} is more than {_MOST:,}", "check the number")
    return number


def add_on_of(text: str) -> int:
    """How many of an add-on: a number, or a yes or no."""
    if not text or text.casefold() in _NO:
        return 0
    if text.casefold() in _YES:
        return 1
    number = count_of(text)
    if number > MOST_OF_AN_ADD_ON:
        raise Spoiled(f"{number} in one order is more than {MOST_OF_AN_ADD_ON:,}", "check the number")
    return number


def date_of(cell: Cell, text: str, order: DateOrder | None) -> date | None:
    """The day a cell names; None for an empty cell."""
    if isinstance(cell, datetime):
        return cell.date()
    if isinstance(cell, date):
        return cell
    if not text:
        return None
    if match := _ISO_DATE.fullmatch(text):
        year, month, day = (int(part) for part in match.groups())
    elif (match := _OTHER_DATE.fullmatch(text)) and order:
        first, second, year = (int(part) for part in match.groups())
        day, month = (first, second) if order == "dmy" else (second, first)
    elif match:
        raise Spoiled(f"{shown(text)!r} may be day-month or month-day", "say which order dates are in")
    else:
        raise Spoiled(f"{shown(text)!r} is not a date", "write it as year-month-day, e.g. 2027-03-31")
    try:
        return date(year, month, day)
    except ValueError:
        raise Spoiled(f"{shown(text)!r} is no day of the calendar", "check day and month") from None

"""What every piece of the campaign document has in common: strictness, names, dates, melts."""

import unicodedata
from datetime import date, datetime
from typing import Annotated, Any, Self

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, StringConstraints

LONGEST_NAME = 80
_NEVER = r"\x00-\x1f\x7f-\x9f\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff\ufff9-\uffff"
"""Marks nobody can see: controls, line ends, and those that turn the direction of what stands beside them."""
NAME_PATTERN = f"^[^{_NEVER}]*$"
MELT_PATTERN = f"^[^{_NEVER}]*[^{_NEVER}\\s/][^{_NEVER}/]*/[^{_NEVER}/]*[^{_NEVER}\\s/][^{_NEVER}/]*$"


def tidy(name: str) -> str:
    """A name as it is kept: composed (Unicode's NFC), one blank between words, none around them; else as typed."""
    if name.isascii() and "  " not in name and name == name.strip():
        return name
    return " ".join(unicodedata.normalize("NFC", name).split())


def _tidy_melt(melt: str) -> str:
    resin, _, colour = melt.rpartition("/")
    return f"{tidy(resin)}/{tidy(colour)}"


Id = Annotated[
    str, StringConstraints(min_length=1, max_length=LONGEST_NAME, pattern=NAME_PATTERN), AfterValidator(tidy)
]
"""What the maker calls a thing, as typed; all else in the document calls it just so. At most 80 letters, one line."""

Melt = Annotated[
    str, StringConstraints(max_length=2 * LONGEST_NAME + 1, pattern=MELT_PATTERN), AfterValidator(_tidy_melt)
]
"""What a barrel holds, written `resin/colour`, e.g. `pp/sage`; the last `/` cuts (`PC/ABS/sage`)."""

TIME_PATTERN = r"^([01]\d|2[0-3]):[0-5]\d$"
TimeOfDay = Annotated[str, Field(pattern=TIME_PATTERN)]
"""A wall-clock time, e.g. `16:00`."""

CURRENCY_PATTERN = "^[A-Z]{3}$"
CurrencyCode = Annotated[str, Field(pattern=CURRENCY_PATTERN)]
"""ISO 4217."""

HEX_PATTERN = "^#[0-9a-fA-F]{6}$"
HexColour = Annotated[str, Field(pattern=HEX_PATTERN)]
"""sRGB, e.g. `#8fae8b`."""

Share = Annotated[float, Field(ge=0, lt=1, allow_inf_nan=False)]
"""A fraction from 0 up to, not including, 1."""

Amount = Annotated[float, Field(ge=0, le=1e9, allow_inf_nan=False)]
"""A quantity that is never negative (kg, minutes, money, as the field's name says)."""

Positive = Annotated[float, Field(gt=0, le=1e9, allow_inf_nan=False)]
"""A quantity above zero."""

Count = Annotated[int, Field(ge=0, le=10_000_000)]
"""A whole number of things."""


def _wall_clock(moment: date | datetime) -> date | datetime:
    if isinstance(moment, datetime) and moment.tzinfo is not None:
        raise ValueError("a moment with an offset; write wall-clock time without one, e.g. 2027-01-11T06:00")
    return moment


WallClock = Annotated[datetime, AfterValidator(_wall_clock)]
"""A moment on the wall clock of the campaign's time zone, without offset."""

When = Annotated[date | datetime, AfterValidator(_wall_clock)]
"""A day (its first moment) or a wall-clock moment without offset, in the campaign's time zone."""


class Document(BaseModel):
    """Base of all document parts: unknown fields are refused, values never change after reading."""

    model_config = ConfigDict(extra="forbid", frozen=True, str_strip_whitespace=True)

    def __deepcopy__(self, memo: dict[int, Any] | None = None) -> Self:
        """Itself: what never changes may be shared. Reading copies each default of a part that is left out."""
        return self


class Arrival(Document):
    """A delivery already agreed: when it is at the door and how much comes."""

    on: When = Field(description="day or wall-clock moment of the delivery")
    amount: Positive = Field(description="kilograms for resins and masterbatch, pieces for bought-in pieces")

"""What every piece of the campaign document has in common: strictness, short ids, dates, melts."""

from datetime import date, datetime
from typing import Annotated

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, StringConstraints

Id = Annotated[str, StringConstraints(pattern=r"^[a-z0-9][a-z0-9_-]{0,39}$")]
"""A short id the maker chooses: small letters, digits, `-` and `_`, at most 40."""

Melt = Annotated[str, StringConstraints(pattern=r"^[a-z0-9][a-z0-9_-]{0,39}/[a-z0-9][a-z0-9_-]{0,39}$")]
"""What a barrel holds, written `resin/colour`, e.g. `pp/sage`."""

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


class Arrival(Document):
    """A delivery already agreed: when it is at the door and how much comes."""

    on: When = Field(description="day or wall-clock moment of the delivery")
    amount: Positive = Field(description="kilograms for resins and masterbatch, pieces for bought-in pieces")

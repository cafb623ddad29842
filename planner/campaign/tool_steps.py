"""What is still to do before a tool makes good parts, and the toolmakers who do it."""

from datetime import date
from typing import Annotated, Literal

from pydantic import Field

from planner.campaign.base import Document, Id, When
from planner.campaign.uncertainty import ThreePoint

Days = Annotated[float, Field(ge=0, le=3650, allow_inf_nan=False)]

Weekday = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]


class Toolmaker(Document):
    """One person who works on tools, one step at a time, whichever of the tools it belongs to."""

    works_on: list[Weekday] = Field(
        default=["mon", "tue", "wed", "thu", "fri"],
        min_length=1,
        max_length=7,
        description="days of the week on which tools are worked on",
    )
    closed_days: list[date] = Field(
        default=[], max_length=1000, description="days off; the campaign's `closed_days` are not theirs"
    )


class ToolStep(Document):
    """One thing still to do: measure, take metal off, put metal on, polish, texture, try again, approve."""

    what: str = Field(default="", max_length=80, description="in words; empty: its id")
    days: Days | ThreePoint = Field(
        description="days it takes, or early, likely and late: working days of whoever does it (`by`), "
        "calendar days where nobody is named"
    )
    after: list[Id] | None = Field(
        default=None,
        max_length=50,
        description="steps of this tool that must be done before; none: the one listed before it, empty: nothing",
    )
    by: Id | None = Field(
        default=None, description="one of the `toolmakers`; none: nobody is kept busy, e.g. waiting for an approval"
    )
    not_before: When | None = Field(default=None, description="day before which it cannot begin, e.g. a trial's day")
    done: When | None = Field(default=None, description="day or moment from which it is done; none: it is still to do")

    @property
    def likely_days(self) -> float:
        """Days it takes if all goes as expected."""
        return max(0.0, self.days.likely) if isinstance(self.days, ThreePoint) else self.days

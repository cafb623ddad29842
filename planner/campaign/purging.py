"""What the maker knows about purging: figures for pairs, and the log of real changes."""

from datetime import date
from typing import Annotated

from pydantic import Field

from planner.campaign.base import Amount, Count, Document, Id, Melt, Positive


class PurgeGiven(Document):
    """A figure given for one ordered pair of melts, for every barrel or for one."""

    model_config = Document.model_config | {"populate_by_name": True}

    from_: Melt = Field(alias="from")
    to: Melt
    kg: Amount = Field(description="melt shot to waste until clean, kg")
    press: Id | None = Field(default=None, description="none: on every press")
    barrel: Annotated[int, Field(ge=1, le=2)] | None = Field(default=None, description="1 or 2; none: both")


class PurgeLogged(Document):
    """One real colour change: what was purged until the parts were clean."""

    model_config = Document.model_config | {"populate_by_name": True}

    press: Id
    barrel: Annotated[int, Field(ge=1, le=2)] = 1
    from_: Melt = Field(alias="from")
    to: Melt
    kg: Amount | None = Field(default=None, description="give kg, or shots with the tool they were made with")
    shots: Count | None = None
    tool: Id | None = None
    on: date | None = None


class Purging(Document):
    """How purge is figured: measured before given before estimated."""

    given: list[PurgeGiven] = Field(default=[], max_length=10_000)
    log: list[PurgeLogged] = Field(default=[], max_length=10_000)
    resin_change_holdups: Positive = Field(
        default=4.0,
        description="hold-ups to clear one resin by another where nothing better is known (common practice)",
    )
    visible_tolerance: Positive = Field(default=1.0, description="CIEDE2000 a visible face may be off the clean colour")
    hidden_tolerance: Positive = Field(default=3.0, description="CIEDE2000 a hidden part may be off")
